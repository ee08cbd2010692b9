"""The placement as text on a screen: the sentence first, then the table, then what to mind."""

from __future__ import annotations

from standoff.desk.wording import Table, Wording


def report(said: Wording, *, brief: bool = False) -> str:
    """The whole answer as text; `brief` leaves out the table and the remarks."""
    blocks = [said.title, said.headline, said.spoken, said.why]
    if not brief:
        blocks += ["", *_aligned(said.conditions)]
        for heading, lines in said.notes:
            blocks += ["", f"{heading}:", *(f"  {line}" for line in lines)]
        blocks += ["", said.caution]
    return "\n".join(block for i, block in enumerate(blocks) if block or i > 3)


def _aligned(table: Table) -> list[str]:
    """The table's cells in columns."""
    rows = [table.head, *table.rows]
    widths = [max(len(row[i]) for row in rows) for i in range(len(table.head))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
