"""`standoff floor JOB`: has everything its room on the floor, what do the feet carry, how is it marked out; plans in and out."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.refused import refused
from standoff.desk.floor import floor_dxf, floor_json, floor_of_file, floor_svg, floor_text
from standoff.desk.papers import write_whole


@click.command("floor")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--at", metavar="STANDOFF", help='Judge at this standoff instead of the aim, such as "11 3/4 in".')
@click.option("--svg", "svg_file", metavar="FILE", type=click.Path(path_type=Path), help="Write the plan to FILE, to scale.")
@click.option(
    "--dxf", "dxf_file", metavar="FILE", type=click.Path(path_type=Path), help="Write the plan as a CAD file, in real size."
)
@click.option(
    "--plan", "plan_file", metavar="FILE", type=click.Path(path_type=Path), help="Lay it on this plan of the building (DXF)."
)
@click.option(
    "--plan-units",
    type=click.Choice(["mm", "cm", "m", "in", "ft"]),
    help="What that plan's lengths are in, where the file does not say.",
)
@click.option("--layers", metavar="A,B", help="Take these layers of that plan alone; without it all that are switched on.")
@click.pass_context
def command(
    ctx: click.Context,
    job: Path,
    as_json: bool,
    at: str | None,
    svg_file: Path | None,
    dxf_file: Path | None,
    plan_file: Path | None,
    plan_units: str | None,
    layers: str | None,
) -> None:
    """Say whether everything has its room on the floor, what the feet carry, and how the loader's places are marked out.

    Exit status: 0 everything has its room, 1 something is in the way, the loader would tip over or the pair itself does not fit
    there, 3 a height is to be measured first or the building's plan lies somewhere else, 2 the input cannot be used.
    """
    _require_plan(plan_file, plan_units, layers)
    _require_other_files([job, *([plan_file] if plan_file else [])], {"--svg": svg_file, "--dxf": dxf_file})
    with refused(ctx, as_json=as_json):
        named = None if layers is None else [name.strip() for name in layers.split(",") if name.strip()]
        answer = floor_of_file(job, at=at, plan=plan_file, unit=plan_units, layers=named)
        for file, drawn in ((svg_file, floor_svg), (dxf_file, floor_dxf)):
            if file is not None:
                write_whole(file, drawn(answer))
    click.echo(floor_json(answer) if as_json else floor_text(answer))
    for what, file in (("Drawing", svg_file), ("CAD file", dxf_file)):
        if file is not None and not as_json:
            click.echo(f"\n{what}: {file}")
    ctx.exit(answer.status)


def _require_plan(plan_file: Path | None, plan_units: str | None, layers: str | None) -> None:
    """What is said of a building's plan goes with one."""
    if plan_file is None and (plan_units or layers):
        raise click.UsageError("--plan-units and --layers say how a plan is read: give --plan FILE with them, or leave them out.")


def _require_other_files(read: list[Path], written: dict[str, Path | None]) -> None:
    """No file that is read is written over, and no two are written to one place."""
    taken = {path.resolve() for path in read}
    for option, path in written.items():
        if path is None:
            continue
        if path.resolve() in taken:
            raise click.UsageError(f"{option} names a file that would be replaced by it: give the drawing another name.")
        taken.add(path.resolve())
