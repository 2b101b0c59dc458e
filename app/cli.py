"""The command line: arguments in, geometry called, text and files out. Thin on purpose.

Exit codes: 0 done; 1 the design cannot be built as drawn, or leaves no solid to write; 2 bad input, in one sentence.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, NoReturn

from app.scene.camera import CameraPose, camera_of
from app.scene.theme import THEMES
from app.scene.wood.table import MODES
from app.scene.wood_colours import WOOD_COLOURS
from geometry.coloured_meshes import coloured_3mf, coloured_obj, sorted_bodies
from geometry.errors import CornerwiseError, NoSolidError, ProjectFileError
from geometry.files import SUFFIX, read_project, write_project, write_whole
from geometry.findings import findings_of
from geometry.layup_grid import grid_of
from geometry.meshes import PARTS, bodies_for, check_scale, format_of, mesh_file
from geometry.piece import Piece, build
from geometry.project import Project
from geometry.report import report_object, report_on, report_text
from geometry.templates.paper import PAPER_NAMES

DONE, CANNOT_BE_BUILT, BAD_INPUT = 0, 1, 2


class UsageError(CornerwiseError):
    """The command line itself cannot be understood."""


class CannotBeHad(CornerwiseError):
    """No cut gives the outline that is wanted."""


class _Parser(argparse.ArgumentParser):
    """A parser that raises one sentence instead of printing its usage and leaving."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message} (see {self.prog} --help)")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; give the exit code."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    _speak_utf8()
    try:
        return _run(arguments)
    except (NoSolidError, CannotBeHad) as error:
        return _complain(error, CANNOT_BE_BUILT)
    except CornerwiseError as error:
        return _complain(error, BAD_INPUT)
    except BrokenPipeError:  # the reader of our output has gone: nothing is wrong
        sys.stderr.close()
        return DONE
    except KeyboardInterrupt:
        return 130


def _run(arguments: list[str]) -> int:
    if arguments and (arguments[0] in COMMANDS or arguments[0].startswith("-")):
        options = _parser().parse_args(arguments)
        command: Callable[[argparse.Namespace], int] = options.run
        return command(options)
    if len(arguments) > 1:
        raise UsageError(f"expected one file or a command, found {arguments[0]!r} (see cornerwise --help)")
    return open_window(arguments[0] if arguments else None)


def _complain(error: Exception, code: int) -> int:
    sentence = " ".join(str(error).split())
    print(f"cornerwise: {sentence}", file=sys.stderr)
    return code


def _speak_utf8() -> None:
    """Print what names and sentences hold whatever the terminal claims to speak, rather than fail over a letter."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


# ---------------------------------------------------------------- commands


def open_window(file: str | None) -> int:
    """Open the window on a project file, or on the first sample."""
    if file is not None:
        read_project(file)  # a bad file is said so before anything else
    from app.window.start import run_window  # Qt and VTK are loaded for the window only

    return run_window(None if file is None else Path(file))


def _load(options: argparse.Namespace) -> tuple[Project, Piece]:
    project = read_project(options.file)
    try:
        return project, build(project.variant(options.variant))
    except NoSolidError:
        raise
    except CornerwiseError as error:
        raise type(error)(f"{options.file}: {error}") from error


def run_report(options: argparse.Namespace) -> int:
    """Print numbers and findings."""
    project, piece = _load(options)
    report = report_on(piece, project.display_units)
    if options.json:
        print(json.dumps(report_object(report), indent=1, allow_nan=False, ensure_ascii=False))
    else:
        print(f"{project.name}, variant {piece.variant.name}\n")
        print(report_text(report, project.display_units), end="")
    return CANNOT_BE_BUILT if report.has_stop else DONE


def run_export(options: argparse.Namespace) -> int:
    """Write a mesh file."""
    form, scale = format_of(options.out), check_scale(options.scale)
    if options.texture and form != "glb":
        raise UsageError(f"--texture: expected an output that ends in .glb, which alone holds it, found {options.out}")
    project, piece = _load(options)
    if options.texture:
        from app.textured import textured_glb  # VTK is loaded for pictures only

        write_whole(options.out, textured_glb(piece, options.parts, scale))
    elif form in ("3mf", "obj") and len(grid_of(piece.variant).species) > 1:
        _write_coloured(piece, options, scale)
    else:
        write_whole(options.out, mesh_file(bodies_for(piece, options.parts, scale), form))
    _warn_of_stops(project, piece)
    return DONE


def _write_coloured(piece: Piece, options: argparse.Namespace, scale: float) -> None:
    """Write one body for each species, each in its colour; beside an OBJ goes the MTL that says the colours."""
    bodies = sorted_bodies(piece, options.parts, scale)
    if format_of(options.out) == "3mf":
        write_whole(options.out, coloured_3mf(bodies, WOOD_COLOURS))
        return
    materials = Path(options.out).with_suffix(".mtl")
    obj, mtl = coloured_obj(bodies, WOOD_COLOURS, materials.name)
    write_whole(materials, mtl)
    write_whole(options.out, obj)


def run_template(options: argparse.Namespace) -> int:
    """Write full-size templates of the faces, the trims and a test cut."""
    from geometry.templates.sheets import template_file, template_form  # the paper's pens are loaded for paper only

    form = template_form(options.out)
    project, piece = _load(options)
    if options.mirrored:
        from geometry.set_list import mirrored

        piece = build(mirrored(piece.variant))
    data = template_file(piece, project.name, project.display_units, form, options.paper, apart=options.apart)
    write_whole(options.out, data)
    _warn_of_stops(project, piece)
    return DONE


def run_sheet(options: argparse.Namespace) -> int:
    """Write the work sheet, or the cut list of a set for a spreadsheet."""
    from geometry.set_list import set_csv, set_list
    from geometry.sheet.sheet import sheet_file, sheet_form  # the paper's pens are loaded for paper only

    form = sheet_form(options.out)
    project, piece = _load(options)
    units = project.display_units
    if form == "csv":
        write_whole(options.out, set_csv(piece, set_list(piece, options.pieces, options.spares), units))
    else:
        from app.step_pictures import sheet_pictures  # VTK is loaded for pictures only

        paper: dict[str, Any] = {"paper": options.paper, "count": options.pieces, "spares": options.spares}
        data = sheet_file(
            piece, project.name, units, sheet_pictures(piece), WOOD_COLOURS, full=options.handout, **paper
        )
        write_whole(options.out, data)
    _warn_of_stops(project, piece)
    return DONE


def run_picture(options: argparse.Namespace) -> int:
    """Write a picture of the piece as the window shows it, or pictures of it going round."""
    ending = Path(options.out).suffix.lower()
    if ending not in (".png", ".gif"):
        raise UsageError(f"{options.out}: expected a name that ends in .png, or in .gif for a turntable")
    count = options.turntable or (GIF_PICTURES if ending == ".gif" else None)
    size = options.size or (GIF_SIZE if ending == ".gif" else PICTURE_SIZE)
    if count is not None and options.camera is not None:
        raise UsageError("--camera: expected a single .png with it, for a turntable has a camera of its own")
    project, piece = _load(options)
    if count is None:
        from app.portrait import portrait  # VTK is loaded for pictures only

        write_whole(options.out, portrait(piece, size, options.turn, options.theme, options.show, options.camera))
    else:
        from app.turntable import gif, numbered, turntable

        pictures = turntable(piece, size, count, options.turn, options.theme, options.show)
        if options.progress:
            pictures = _counted(pictures, count)
        if ending == ".gif":
            write_whole(options.out, gif(list(pictures)))
        else:
            for name, data in numbered(options.out, pictures):
                write_whole(name, data)
    _warn_of_stops(project, piece)
    return DONE


def _counted(pictures: Iterator[Any], count: int) -> Iterator[Any]:
    """Say of each picture that it is done."""
    for number, picture in enumerate(pictures, start=1):
        print(f"picture {number} of {count}", flush=True)
        yield picture


def run_fit(options: argparse.Namespace) -> int:
    """Write the project with designs that give the wanted outline of a variant; write nothing where none does."""
    from geometry.fit import answer_line, fit_wish, with_answers  # loaded for this command only

    if not options.out.endswith(SUFFIX):
        raise UsageError(f"{options.out}: expected a name that ends in {SUFFIX}")
    project = read_project(options.file)
    try:
        variant = project.variant(options.variant)
    except CornerwiseError as error:
        raise type(error)(f"{options.file}: {error}") from error
    if variant.wish is None:
        raise ProjectFileError(
            f"{options.file}: wish: expected the outline wanted of {variant.name!r}, found no such key"
        )
    fit = fit_wish(variant, project.display_units)
    if not fit.is_had:
        raise CannotBeHad(" ".join(c.sentence for c in fit.cannot))
    write_project(with_answers(project, variant.name, fit), options.out)
    for answer in fit.answers:
        print(answer_line(answer, project.display_units))
    return DONE


def _warn_of_stops(project: Project, piece: Piece) -> None:
    """Say on the error stream that what was written cannot be sawn so; the file is written all the same."""
    stops = [f for f in findings_of(piece, project.display_units) if f.severity == "stop"]
    for finding in stops:
        print(f"cornerwise: cannot be sawn as drawn: {finding.message} {finding.remedy}", file=sys.stderr)


# ---------------------------------------------------------------- arguments


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"expected a number, found {text!r}") from None


def _turn(text: str) -> float:
    value = _number(text)
    if not 0.0 <= value <= 1.0:
        raise argparse.ArgumentTypeError(f"expected a number from 0 (sawn) to 1 (glued), found {text}")
    return value


SMALLEST_PICTURE, LARGEST_PICTURE = 16, 8192
PICTURE_SIZE, GIF_SIZE, GIF_PICTURES = (1200, 1600), (450, 600), 36
FEWEST_ROUND, MOST_ROUND = 2, 360


def _round(text: str) -> int:
    if text.isascii() and text.isdigit() and len(text) < 5 and FEWEST_ROUND <= int(text) <= MOST_ROUND:
        return int(text)
    raise argparse.ArgumentTypeError(
        f"expected how many pictures go once round, from {FEWEST_ROUND} to {MOST_ROUND}, found {text!r}"
    )


def _camera(text: str) -> CameraPose:
    try:
        return camera_of(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"expected {error}, found {text[:200]!r}") from None


MOST_PIECES = 999


def _count(text: str, least: int = 1) -> int:
    if text.isascii() and text.isdigit() and len(text) < 5 and least <= int(text) <= MOST_PIECES:
        return int(text)
    raise argparse.ArgumentTypeError(f"expected a whole number from {least} to {MOST_PIECES}, found {text!r}")


def _spares(text: str) -> int:
    return _count(text, 0)


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.lower().partition("x")
    digits = width.isascii() and width.isdigit() and height.isascii() and height.isdigit()
    if digits and len(text) < 20:
        size = int(width), int(height)
        if all(SMALLEST_PICTURE <= s <= LARGEST_PICTURE for s in size):
            return size
    raise argparse.ArgumentTypeError(
        f"expected WIDTHxHEIGHT in pixels, each from {SMALLEST_PICTURE} to {LARGEST_PICTURE}, found {text!r}"
    )


COMMANDS: dict[str, tuple[str, Callable[[argparse.Namespace], int]]] = {
    "report": ("print the numbers and what stands in the way of sawing it", run_report),
    "export": ("write a mesh: .stl .3mf .glb .obj by ending", run_export),
    "template": ("write full-size templates: .pdf .svg .dxf by ending", run_template),
    "sheet": ("write the work sheet for the bench or the class: .pdf, or the cut list alone: .csv", run_sheet),
    "picture": ("write a picture of the piece; no display is needed", run_picture),
    "fit": ("find lines, trims and the smallest blank for the outline that is wanted", run_fit),
}


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="cornerwise",
        description="Two lines sawn through two adjacent faces of a blank: see the piece that comes of it.",
        epilog="cornerwise [FILE] opens the window.",
        allow_abbrev=False,
    )
    commands: Any = parser.add_subparsers(metavar="command", required=True)
    made: dict[str, argparse.ArgumentParser] = {}
    for name, (help_text, run) in COMMANDS.items():
        made[name] = sub = commands.add_parser(name, help=help_text, description=help_text, allow_abbrev=False)
        sub.set_defaults(run=run)
        sub.add_argument("file", metavar="FILE", help="a project file (.cornerwise.json)")
        if name != "report":
            sub.add_argument("out", metavar="OUT", help="the file to write")
        sub.add_argument("--variant", metavar="NAME", help="which variant; the first when left out")
    made["report"].add_argument("--json", action="store_true", help="print one object for programs")
    made["export"].add_argument("--parts", choices=PARTS, default="piece", help="what to write (piece)")
    made["export"].add_argument("--scale", type=_number, default=1.0, metavar="S", help="scale about the origin (1)")
    made["export"].add_argument("--texture", action="store_true", help="bake the wood into the .glb")
    made["template"].add_argument("--paper", choices=PAPER_NAMES, default="a4", help="paper of a .pdf (a4)")
    made["template"].add_argument("--mirrored", action="store_true", help="for the other hand")
    made["sheet"].add_argument("--paper", choices=PAPER_NAMES[:2], default="a4", help="paper of the .pdf (a4)")
    made["sheet"].add_argument("--handout", action="store_true", help="the fuller handout, in large print")
    made["sheet"].add_argument("--pieces", type=_count, default=1, metavar="N", help="how many pieces the set has (1)")
    made["sheet"].add_argument("--spares", type=_spares, default=0, metavar="N", help="spares of each kind (0)")
    made["template"].add_argument("--apart", action="store_true", help="each face by itself, not side by side")
    made["picture"].add_argument("--size", type=_size, metavar="WxH", help="pixels (1200x1600; .gif 450x600)")
    made["picture"].add_argument("--turn", type=_turn, default=1.0, metavar="0..1", help="0 sawn to 1 glued (1)")
    made["picture"].add_argument("--theme", choices=THEMES, default="light", help="by day or by night (light)")
    made["picture"].add_argument("--show", choices=MODES, default="wood", help="what the surfaces show (wood)")
    made["picture"].add_argument(
        "--camera",
        type=_camera,
        metavar="E,M,U,H,P",
        help="x,y,z of the eye, the middle and up, mm; half the height seen there; 1 parallel, 0 not (three-quarter)",
    )
    made["picture"].add_argument("--progress", action="store_true", help="say which picture of a turntable is done")
    made["picture"].add_argument(
        "--turntable", type=_round, metavar="N", help="N pictures once round: a .gif (36), or OUT_001.png and so on"
    )
    return parser


if __name__ == "__main__":
    sys.exit(main())
