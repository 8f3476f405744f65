"""The one folder that a planner reads and writes, and plans in it that may have changed while nobody looked."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from somsim.errors import InputError, Problem
from somsim.plan.text import Record, Text, read_text

ENDINGS = (".yaml", ".yml")
LONGEST_NAME = 200  # characters of a file name
MARK = "\ufeff"


@dataclass(frozen=True)
class Stored:
    """A plan as it stands in its file: its text, the digest of its bytes, and whether it began with a mark."""

    text: str
    digest: str
    marked: bool = False


class ChangedOnDisk(InputError):
    """A file that is not as it was when it was read: it is not overwritten without asking."""


def _wrong(message: str, hint: str | None = None) -> InputError:
    return InputError([Problem(message, hint=hint)], "nothing was read or written.")


@dataclass(frozen=True)
class Folder:
    """A folder; nothing outside of it is read or written, whatever a name or a link says."""

    root: Path

    def path(self, name: str) -> Path:
        """Where a plan of that name is, or would be.

        Raises
        ------
        InputError
            for a name that is no plan's, or that leads out of the folder.
        """
        shown = name if len(name) <= 60 else f"{name[:60]}..."
        if not name or len(name) > LONGEST_NAME or any(not one.isprintable() for one in name) or "\\" in name:
            raise _wrong(f'"{shown}" can\'t be the name of a file', "for example my-beds.yaml")
        parts = Path(name).parts
        if Path(name).is_absolute() or ".." in parts or name.startswith("~"):
            raise _wrong(f'"{shown}" leads out of the folder {self.root}', "start the planner in the other folder")
        if any(part.startswith(".") for part in parts):
            raise _wrong(f'"{shown}" is a hidden file', "a name that begins with a letter")
        if not name.lower().endswith(ENDINGS):
            raise _wrong(f'"{shown}" is no plan', "the name of a plan ends with .yaml")
        found = self.root / name
        if not self.holds(found):
            raise _wrong(f'"{shown}" leads out of the folder {self.root}', "start the planner in the other folder")
        return found

    def holds(self, path: Path) -> bool:
        """Whether a path, all links followed, is inside the folder."""
        try:
            return path.resolve().is_relative_to(self.root.resolve())
        except (OSError, RuntimeError, ValueError):
            return False

    def plans(self) -> tuple[str, ...]:
        """Names of the plans in the folder itself."""
        found = [one for one in self.root.iterdir() if one.suffix.lower() in ENDINGS and not one.name.startswith(".")]
        return tuple(sorted(one.name for one in found if one.is_file() and self.holds(one)))

    def read(self, name: str) -> Stored:
        """Read a plan.

        Raises
        ------
        InputError
            when it can't be read, or is no UTF-8.
        """
        path = self.path(name)
        with contextlib.suppress(InputError):
            read_text(path)  # told again, with all its mistakes, where the plan is checked
        return _stored(path)

    def write(self, name: str, text: str, digest: str | None, *, marked: bool = False) -> Stored:
        """Write a plan, whole or not at all.

        Parameters
        ----------
        name : str
        text : str
        digest : of the bytes that may be overwritten; None when the file must not be there yet
        marked : whether the file begins with a byte order mark

        Raises
        ------
        ChangedOnDisk
            when the file is not as it was.
        InputError
            when it can't be written.
        """
        path = self.path(name)
        there = _digest(path)
        if there != digest:
            said = f"{name} was changed on disk since it was read here" if digest else f"{name} is there already"
            raise ChangedOnDisk([Problem(said, hint="nothing is overwritten without asking")], "nothing was written.")
        data = ((MARK if marked else "") + text).encode("utf-8")
        if not path.parent.is_dir():
            raise _wrong(f"there is no folder {path.parent.relative_to(self.root)}")
        try:
            _replace(path, data)
        except OSError as error:
            raise _wrong(f"{name} can't be written: {error.strerror or error}") from None
        return Stored(text, sha256(data).hexdigest(), marked)

    def digest(self, name: str) -> str | None:
        """The digest of a plan's bytes as they are now; None when it is not there."""
        return _digest(self.path(name))

    def outside(self, tree: Record) -> list[tuple[Text, str]]:
        """Files that a plan names and that are not in the folder, each with what is said of it."""
        site = tree.get("site")
        found = []
        for holder, key in (("climate", "series"), ("weather", "file")):
            part = site.get(holder) if isinstance(site, Record) else None
            named = part.get(key) if isinstance(part, Record) else None
            if isinstance(named, Text) and named.strip() and not self.holds(self.root / named.strip()):
                found.append((named, f'"{named}" leads out of the folder that the planner was started in'))
        return found


def _stored(path: Path) -> Stored:
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise _wrong(f"{path.name} is not an ordinary file")
        data = path.read_bytes()
        text = data.decode("utf-8")
    except FileNotFoundError:
        raise _wrong(f"there is no file {path.name}", "`somsim new FILE` writes a plan to start from") from None
    except UnicodeDecodeError:
        raise _wrong(f"{path.name} is not UTF-8", "save the file as UTF-8") from None
    except OSError as error:
        raise _wrong(f"{path.name} can't be read: {error.strerror or error}") from None
    if len(data) > 1_000_000:
        raise _wrong(f"{path.name} is {len(data) / 1e6:.1f} MB; a plan is at most 1 MB")
    return Stored(text.removeprefix(MARK), sha256(data).hexdigest(), text.startswith(MARK))


def _digest(path: Path) -> str | None:
    try:
        return sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise _wrong(f"{path.name} can't be read: {error.strerror or error}") from None


def _replace(path: Path, data: bytes) -> None:
    mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
    descriptor, made = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:80]}.", suffix=".part")
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(made).chmod(mode)
        Path(made).replace(path.resolve())
    finally:
        Path(made).unlink(missing_ok=True)


def _umask() -> int:
    now = os.umask(0o022)
    os.umask(now)
    return now
