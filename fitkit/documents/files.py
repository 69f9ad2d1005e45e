"""Writing a plan's documents to a folder: all or nothing, and nothing on disk is lost.

Everything is made in memory, written into a hidden folder beside its place, then renamed. A file
that fitkit did not write, or that was changed since, is never overwritten: it is kept beside the
new one as ``name.kept-1``. Files of a former run that are not needed any more go only if unchanged.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from attrs import frozen

from fitkit.documents.cut_layer import cut_sheet, origin_note
from fitkit.documents.exploded_view import exploded_sheet
from fitkit.documents.inside_views import inside_views, names_of
from fitkit.documents.layer_pictures import layers_sheet
from fitkit.documents.naming import plan_id
from fitkit.documents.outside_view import outside_sheet
from fitkit.documents.page import page
from fitkit.documents.pens.dxf import DxfVersion, dxf
from fitkit.documents.pens.pdf import pdf
from fitkit.documents.pens.png import png
from fitkit.documents.pens.svg import svg
from fitkit.documents.plan_view import view_sheet, views_of
from fitkit.documents.ready_made_sheet import ready_made_sheet
from fitkit.documents.several_page import several_page
from fitkit.documents.sheet import PRINTED, Sheet
from fitkit.documents.shell_documents import shell_documents, shell_paths
from fitkit.documents.shell_lists import tables as shell_tables
from fitkit.documents.spoken import spoken
from fitkit.documents.stock_view import stock_sheets
from fitkit.documents.tables import cases_csv, tables
from fitkit.documents.templates import templates_pdf
from fitkit.documents.tiles import Paper
from fitkit.errors import BadInput, Fault
from fitkit.payload.model import Payload
from fitkit.plan import Plan, with_stock
from fitkit.plan_json import Listed, dumps, read_written
from fitkit.plan_json.cases import CASES_FILE, dumps_cases, folder_of, read_cases_written
from fitkit.plan_several import Cases
from fitkit.scene import Rendering, exploded_picture

Told = Callable[[str, int, int], None]
"""Hears of each document: its name, how many are done, and how many there will be."""

PLAN_FILE = "plan.json"
EXPLODED = "views/exploded.png"
STOCK_BOOK = "shell/stock.pdf"


@frozen
class Written:
    """A file that was written: its path in the folder (with forward slashes) and its SHA-256."""

    path: str
    sha256: str


def write_all(
    plan: Plan,
    folder: str | os.PathLike[str],
    *,
    paper: Paper = "A4",
    dxf: DxfVersion = "R2000",
    progress: Told | None = None,
) -> tuple[Written, ...]:
    """Make every document of ``plan`` and put them into ``folder``; what was written, in order.

    BadInput if the folder cannot be written; then nothing has changed. The last entry is
    ``plan.json``, which lists the others. What is to buy is worked out first where the plan leaves
    it open (:func:`fitkit.plan.with_stock`).
    """
    whole = with_stock(plan)
    return _written(
        Path(folder),
        lambda fresh: _stage(whole, fresh, paper=paper, dxf_version=dxf, progress=progress),
    )


def keep_plan(plan: Plan, folder: str | os.PathLike[str]) -> Path:
    """Save ``plan.json`` alone, by a file beside it that is renamed; the path of the file.

    Other documents stay as they are, and stay listed as written. A file of that name that is no
    plan of ours is kept under another name. BadInput if the folder cannot be written.
    """
    place = Path(folder)
    target, beside = place / PLAN_FILE, place / f".{PLAN_FILE}.part"
    made_here = _open(place)
    try:
        listed: tuple[Listed, ...] = ()
        if target.is_file():
            try:
                listed = read_written(target)
            except BadInput:  # none of ours: a foreign file, kept as it is
                target.rename(_kept(target))
        beside.write_text(dumps(plan, written=listed), encoding="utf-8", newline="\n")
        beside.replace(target)
    except OSError as error:
        beside.unlink(missing_ok=True)
        _close(made_here)
        raise BadInput([_cannot(place, error)]) from error
    return target


def write_several(
    cases: Cases,
    payload: Payload,
    folder: str | os.PathLike[str],
    *,
    paper: Paper = "A4",
    dxf: DxfVersion = "R2000",
    progress: Told | None = None,
) -> tuple[Written, ...]:
    """Make every document of every case, each in a folder of its own, and an index of them all.

    ``payload`` is the whole kit. All or nothing, as for :func:`write_all`; the last entry is
    ``cases.json``, which lists the others.
    """

    def stage(fresh: Path) -> tuple[Written, ...]:
        written: list[Written] = []
        for number, plan in enumerate(cases.plans, start=1):
            where = folder_of(number)

            def told(name: str, done: int, total: int, where: str = where) -> None:
                if progress is not None:
                    progress(f"{where}/{name}", done, total)

            own = _stage(plan, fresh / where, paper=paper, dxf_version=dxf, progress=told)
            written += [Written(f"{where}/{one.path}", one.sha256) for one in own]
        written.append(_save(fresh, "lists/cases.csv", cases_csv(cases, payload)))
        written.append(_save(fresh, "index.html", several_page(cases, payload).encode()))
        text = dumps_cases(cases, payload, written=written)
        written.append(_save(fresh, CASES_FILE, text.encode()))
        return tuple(written)

    return _written(Path(folder), stage)


def _written(place: Path, stage: Callable[[Path], tuple[Written, ...]]) -> tuple[Written, ...]:
    """Stage files beside ``place``, then move them in; nothing has changed where that fails."""
    made_here = _open(place)
    try:
        staging = Path(tempfile.mkdtemp(prefix=".fitkit-", dir=place))
        try:
            written = stage(staging / "new")
            _put(place, staging, written)
        finally:
            shutil.rmtree(staging, ignore_errors=True)
    except OSError as error:
        _close(made_here)
        raise BadInput([_cannot(place, error)]) from error
    except BaseException:  # Ctrl-C too: folders made here go again, then it is raised on
        _close(made_here)
        raise
    return written


def documents(
    plan: Plan,
    *,
    paper: Paper = "A4",
    dxf_version: DxfVersion = "R2000",
    cuts: Sequence[tuple[str, Sheet]] | None = None,
) -> Iterator[tuple[str, bytes]]:
    """Every document but ``plan.json``: its path in the folder, and its bytes.

    ``cuts`` are the drawings of :func:`fitkit.documents.stock_view.stock_sheets` where they are
    made already.
    """
    drawn = stock_sheets(plan) if cuts is None else cuts
    plan = spoken(plan)
    with ThreadPoolExecutor(max_workers=1) as pool:
        exploded = pool.submit(exploded_picture, plan)  # a child draws it meanwhile
        yield from _documents(plan, exploded, paper, dxf_version, drawn)


def _documents(
    plan: Plan,
    exploded: Future[Rendering],
    paper: Paper,
    dxf_version: DxfVersion,
    cuts: Sequence[tuple[str, Sheet]],
) -> Iterator[tuple[str, bytes]]:
    names: list[str] = []

    def named(name: str, data: bytes) -> tuple[str, bytes]:
        names.append(name)
        return name, data

    for layer in plan.foam.layers:
        cut = cut_sheet(plan, layer)
        drawn = dxf(cut.sheet, version=dxf_version, left_mm=cut.left_mm, low_mm=cut.low_mm)
        yield named(f"foam/{layer.name}.dxf", drawn)
        text = svg(cut.sheet, ground=False, note=origin_note(cut))
        yield named(f"foam/{layer.name}.svg", text.encode())
    if plan.foam.layers:  # a case of mounted gear alone has no foam
        yield named("foam/templates.pdf", templates_pdf(plan, paper=paper))
    for shown in shell_documents(plan, paper=paper, dxf_version=dxf_version):
        yield named(*shown)
    if cuts:
        title, subject = f"{plan.payload.title}: stock", f"plan {plan_id(plan)}"
        book = pdf([sheet for _, sheet in cuts], title=title, subject=subject, colours=PRINTED)
        yield named(STOCK_BOOK, book)
    for name, data in {**tables(plan), **shell_tables(plan)}.items():
        yield named(f"lists/{name}", data)
    views = views_of(plan)
    total = len(views) + (1 if plan.foam.layers else 0)
    sheets = [
        (v.name, view_sheet(plan, v, number=k, total=total)) for k, v in enumerate(views, start=1)
    ]
    layers = layers_sheet(plan, number=total, total=total) if plan.foam.layers else None
    for name, sheet in sheets:
        yield named(f"views/{name}.png", png(sheet))
    if layers is not None:
        yield named("views/layers.png", png(layers))
    inside = inside_views(plan)
    for name, sheet in inside.all:
        yield named(f"views/{name}.png", png(sheet))
    cases = ready_made_sheet(plan)
    if cases is not None:
        yield named("views/ready-made.png", png(cases))
    rendering = exploded.result()
    picture = rendering.data or png(exploded_sheet(plan, why=rendering.why))
    yield named(EXPLODED, picture)
    html = page(
        plan,
        views=sheets,
        layers=layers,
        exploded=picture,
        why=rendering.why,
        names=[*names, "index.html", PLAN_FILE],
        cases=cases,
        outside=[] if plan.shell is None else [("outside", outside_sheet(plan))],
        cuts=cuts,
        gap=inside.gap,
        cables=inside.cables,
        use=inside.use,
    )
    yield named("index.html", html.encode())


def _stage(
    plan: Plan, staging: Path, *, paper: Paper, dxf_version: DxfVersion, progress: Told | None
) -> tuple[Written, ...]:
    """Write everything into ``staging``."""
    cuts = stock_sheets(plan)
    total = 2 * len(plan.foam.layers) + (2 if plan.foam.layers else 0) + len(views_of(plan)) + 3
    total += len(tables(plan)) + len(shell_tables(plan)) + len(shell_paths(plan))
    total += len(names_of(plan))
    total += (1 if plan.ready_made is not None else 0) + (1 if cuts else 0)
    written: list[Written] = []
    for name, data in documents(plan, paper=paper, dxf_version=dxf_version, cuts=cuts):
        written.append(_save(staging, name, data))
        if progress is not None:
            progress(name, len(written), total)
    written.append(_save(staging, PLAN_FILE, dumps(plan, written=written).encode()))
    if progress is not None:
        progress(PLAN_FILE, len(written), len(written))
    return tuple(written)


def _save(staging: Path, name: str, data: bytes) -> Written:
    target = staging / name
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)
    return Written(name, hashlib.sha256(data).hexdigest())


def _put(place: Path, staging: Path, written: tuple[Written, ...]) -> None:
    """Move new files into place and stale ones out; on any failure everything is as before."""
    former = _former(place)
    undo: list[tuple[Path, Path]] = []
    fresh: list[Path] = []
    folders: list[Path] = []
    old = staging / "old"
    try:
        for entry in written:
            target = place / entry.path
            folders += _folder(target.parent, place)
            if target.is_symlink() or target.exists():
                digest = _digest(target)
                ours = digest in (former.get(entry.path), entry.sha256)
                away = old / entry.path if ours else _kept(target)
                away.parent.mkdir(parents=True, exist_ok=True)
                target.rename(away)
                undo.append((away, target))
            (staging / "new" / entry.path).rename(target)
            fresh.append(target)
        names = {entry.path for entry in written}
        for name, digest in former.items():
            stale = place / name
            if name not in names and _inside(place, stale) and _digest(stale) == digest:
                away = old / name
                away.parent.mkdir(parents=True, exist_ok=True)
                stale.rename(away)
                undo.append((away, stale))
    except BaseException:  # whatever it was: all is put back as it stood, then it is raised on
        for target in reversed(fresh):
            target.unlink(missing_ok=True)
        for away, target in reversed(undo):
            away.rename(target)
        _close(folders)
        raise


def _former(place: Path) -> dict[str, str]:
    """What a former run wrote here, by path; empty if there is no plan that says so."""
    found: dict[str, str] = {}
    for name, read in ((PLAN_FILE, read_written), (CASES_FILE, read_cases_written)):
        if not (place / name).is_file():
            continue
        try:
            found |= {entry.path: entry.sha256 for entry in read(place / name)}
        except BadInput:  # none of ours: a foreign file, kept as it is
            continue
        found[name] = _digest(place / name) or ""
    return found


def _digest(path: Path) -> str | None:
    if path.is_symlink() or not path.is_file():
        return None
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _kept(target: Path) -> Path:
    """A free name beside ``target`` for a file that is not ours."""
    number = 1
    while (away := target.with_name(f"{target.name}.kept-{number}")).exists():
        number += 1
    return away


def _inside(place: Path, path: Path) -> bool:
    return path.resolve().is_relative_to(place.resolve())


def _open(place: Path) -> list[Path]:
    """Make the folder where it is missing; the folders that were made, the outermost first."""
    if place.exists() and not place.is_dir():
        raise BadInput([Fault(str(place), "is a file", "name a folder to write into")])
    try:
        made = _folder(place, None)
    except OSError as error:
        raise BadInput([_cannot(place, error)]) from error
    return made


def _folder(folder: Path, stop: Path | None) -> list[Path]:
    missing: list[Path] = []
    at = folder
    while at != stop and not at.exists():
        missing.append(at)
        at = at.parent
    folder.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _close(made: list[Path]) -> None:
    """Take away folders that were made and have stayed empty."""
    for folder in reversed(made):
        try:
            folder.rmdir()
        except OSError:  # something stands in it by now: leave it
            return


def _cannot(place: Path, error: OSError) -> Fault:
    reason = error.strerror or str(error)
    return Fault(str(place), f"cannot be written ({reason})", "name a folder that you may write to")
