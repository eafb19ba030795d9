"""Settings: every table can be reached from a job. Words that name nothing: `tests/docs/test_glossary.py`."""

import msgspec

from filigree.job import Job, sections


def test_every_setting_can_be_reached_from_the_job():
    tables = {
        t for t in vars(sections).values() if isinstance(t, type) and issubclass(t, msgspec.Struct)
    }
    reached = str(msgspec.inspect.type_info(Job))
    missing = {t.__name__ for t in tables if f"'filigree.job.sections.{t.__name__}'" not in reached}
    assert missing <= {"Struct", "Section", "Leather"}
