"""To do: the findings of a report as folded lists of HTML, stops open and first, each a button to its place."""

from filigree.checks.headings import together
from filigree.output.markup import escaped, number
from filigree.output.report import Report


def todo_html(report: Report) -> str:
    """List the findings of one kind together.

    Every row keeps the number that it has on the picture, in `data-finding`, and its place, mm, in `data-at`.
    """
    if not report.findings:
        return "<p>Nothing to mend.</p>"
    groups = together(report.findings)
    return "\n".join(
        f'<details class="{severity}"{" open" if severity == "stop" or len(groups) == 1 else ""}>'
        f"<summary><b>{severity}</b> {escaped(name)}: {len(rows)}</summary>\n"
        f"<ol>{_rows(report, rows)}</ol></details>"
        for severity, name, rows in groups
    )


def _rows(report: Report, rows: tuple[int, ...]) -> str:
    found = ((k + 1, report.findings[k]) for k in rows)
    return "\n".join(
        f'<li><button data-finding="{k}" data-at="{number(f.at[0], 2)},{number(f.at[1], 2)}">'
        f"{k}. {escaped(f.say)}</button></li>"
        for k, f in found
    )
