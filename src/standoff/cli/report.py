"""The placement as text on a screen: the sentence first, then the table, then what to mind."""

from __future__ import annotations

from standoff.desk.wording import Table, Wording


def report(said: Wording, *, brief: bool = False) -> str:
    """The whole answer as text; `brief` says only what to do: no table, no remarks, no particulars."""
    blocks = [line for line in (said.title, said.headline, said.spoken, said.why) if line]
    if brief:
        for heading, lines in said.advice:
            blocks += [f"{heading}:", *(f"  {line}" for line in lines if not line.startswith(" "))]
        return "\n".join(blocks)
    blocks += ["", *_aligned(said.conditions)]
    for heading, lines in said.notes:
        blocks += ["", f"{heading}:", *(f"  {line}" for line in lines)]
    return "\n".join([*blocks, "", said.caution])


def _aligned(table: Table) -> list[str]:
    """The table's cells in columns."""
    rows = [table.head, *table.rows]
    widths = [max(len(row[i]) for row in rows) for i in range(len(table.head))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
