"""Words of the trade: no command, option or setting goes by a word that the trade does not use (handbook 11.2)."""

import re

import click
import msgspec
import pytest

from filigree.cli.commands import COMMANDS, cli
from filigree.job import Job, sections

AVOIDED = {  # handbook 11.2, "also heard, avoid", and the words of sign cutting and machine control
    *(
        "window",
        "windows",
        "cutout",
        "void",
        "web",
        "tie",
        "land",
        "ligament",
        "rib",
        "finger",
        "tab",
        "tabs",
    ),
    *(
        "floater",
        "frame",
        "insert",
        "underlay",
        "liner",
        "core",
        "filler",
        "front",
        "layer",
        "layers",
        "wrong",
    ),
    *(
        "negative",
        "score",
        "emboss",
        "wet",
        "shave",
        "bleed",
        "haz",
        "weeding",
        "weed",
        "kiss",
        "node",
        "nodes",
    ),
    *("toolpath", "nest", "nesting", "plunge", "feed", "speed", "power", "engrave"),
}


def option_names() -> set[str]:
    context = click.Context(cli)
    options = {
        o for name in COMMANDS for p in cli.get_command(context, name).params for o in p.opts
    }
    return {*COMMANDS, *options}


def setting_names() -> set[str]:
    tables = [
        t for t in vars(sections).values() if isinstance(t, type) and issubclass(t, msgspec.Struct)
    ]
    return {field.encode_name for table in tables for field in msgspec.structs.fields(table)}


@pytest.mark.parametrize("names", [option_names(), setting_names()], ids=["options", "settings"])
def test_no_avoided_word_names_anything(names):
    assert len(names) > 15
    words = {word for name in names for word in re.split(r"[-_ ]+", name.lower())}
    assert not words & AVOIDED


def test_every_setting_can_be_reached_from_the_job():
    tables = {
        t for t in vars(sections).values() if isinstance(t, type) and issubclass(t, msgspec.Struct)
    }
    reached = str(msgspec.inspect.type_info(Job))
    missing = {t.__name__ for t in tables if f"'filigree.job.sections.{t.__name__}'" not in reached}
    assert missing <= {"Struct", "Section", "Leather"}
