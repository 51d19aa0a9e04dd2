"""What is attached to the PDF of an appendix, taken out; nothing of it is believed: names that lead elsewhere, and what is too large, are refused."""

import io
import logging
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from ..errors import DataError
from ..reading.faults import shown
from . import manifest as manifests
from .archive import WORKBOOK, is_safe, name_of_attached

MOST_FILES, LARGEST_OF_ALL = 2000, 100_000_000  # and bytes of all of them together


class Unpacked(NamedTuple):
    """The manifest, None where there is none, the files of the workbook by their name in its folder, and the names of what else is attached."""

    manifest: bytes | None
    workbook: dict[str, bytes]
    others: tuple[str, ...] = ()


def unpacked(raw: bytes, name: str) -> Unpacked:
    """Return what is attached to a PDF, given as its bytes and its name for messages.

    Raises
    ------
    DataError
        If it is no PDF that can be read, nothing is attached, or something has a name that leads out of a folder, comes twice or is too large.
    """
    where, manifest, files, others, room = shown(name, 200), None, {}, [], LARGEST_OF_ALL
    for attached, content in _attachments(raw, where):
        room -= len(content)
        if room < 0:
            raise DataError(f"{where}: more than {LARGEST_OF_ALL} bytes are attached; it is no appendix")
        if attached == manifests.NAME and manifest is None:
            manifest = content
        elif attached.startswith(WORKBOOK) and (name := _safe(attached, where)) not in files:
            files[name] = content
        elif attached.startswith(WORKBOOK) or attached == manifests.NAME:
            raise DataError(f"{where}: {shown(attached)} is attached twice; it is no appendix as rheokit writes it")
        else:
            others.append(attached)
    if manifest is None and not files:
        raise DataError(
            f"{where}: nothing of an appendix is attached; some programs drop what is attached when they save a PDF: take the original"
        )
    if any(parent.as_posix() in files for one in files for parent in Path(one).parents):
        raise DataError(
            f"{where}: an attached file has the name of the folder of another; it is no appendix as rheokit writes it"
        )
    return Unpacked(manifest, files, tuple(others))


def put_into(folder: Path, files: dict[str, bytes]) -> None:
    """Write files into a new folder.

    Raises
    ------
    DataError
        If this system takes the names of two of them for one, such as those that differ in capitals alone.
    """
    for name, raw in files.items():
        try:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            with open(folder / name, "xb") as opened:
                opened.write(raw)
        except FileExistsError:
            raise DataError(
                f"{shown(name, 200)} and another attached file have names that this system takes for one; verify where capitals and accents "
                "tell names apart, or against the folder of the workbook with --workbook"
            ) from None


def _attachments(raw, where):
    """Give name and content of each attached file."""
    import pypdf

    log = logging.getLogger("pypdf")
    was, log.disabled = log.disabled, True  # what it finds odd is told as a refusal, or does not matter
    try:
        reader = pypdf.PdfReader(io.BytesIO(raw))
        if reader.is_encrypted:
            raise DataError(f"{where}: it is encrypted; take the original, which is not")
        for count, one in enumerate(reader.attachment_list, 1):
            if count > MOST_FILES:
                raise DataError(f"{where}: more than {MOST_FILES} files are attached; it is no appendix")
            yield str(one.name), one.content
    except DataError:
        raise
    except Exception as fault:  # of whatever kind: the file may hold anything
        raise DataError(
            f"{where}: it cannot be read as a PDF ({type(fault).__name__}: {str(fault)[:100]}); take the original"
        ) from None
    finally:
        log.disabled = was


def _safe(attached, where):
    """Return the name of a file that stays in the folder it is put into; refuse another."""
    with suppress(UnicodeDecodeError):
        if is_safe(name := name_of_attached(attached)):
            return name
    raise DataError(
        f"{where}: a file is attached as {shown(attached)}, which may lead out of a folder or be none; it is no appendix as rheokit writes it"
    )
