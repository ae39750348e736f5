"""The folders in which kit profiles are looked for."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path


def shipped_profiles_dir() -> Path:
    """Return the folder of the profiles that come with the library.

    In an installed package that is ``bridgewire/profiles``; in a checkout the repository's
    ``profiles``.

    Examples
    --------
    >>> shipped_profiles_dir().name
    'profiles'
    """
    package = Path(__file__).resolve().parent.parent
    installed = package / "profiles"
    return installed if installed.is_dir() else package.parent.parent / "profiles"


def user_kits_dir() -> Path | None:
    """Return the folder of the user's own profiles, whether it is there or not.

    ``$XDG_CONFIG_HOME/bridgewire/kits``, or ``~/.config/bridgewire/kits`` where the variable is
    unset or no absolute path; None where there is no home folder either. References: XDG Base
    Directory Specification 0.8.

    Examples
    --------
    >>> folder = user_kits_dir()
    >>> folder is None or folder.parts[-2:] == ("bridgewire", "kits")
    True
    """
    stated = os.environ.get("XDG_CONFIG_HOME", "")
    if os.path.isabs(stated):
        return Path(stated, "bridgewire", "kits")
    try:
        return Path.home() / ".config" / "bridgewire" / "kits"
    except RuntimeError:
        return None


def kit_folders(show_file: Path | None, kit_dirs: Sequence[Path] = ()) -> tuple[Path, ...]:
    """List the folders in which a show's kit profiles are looked for.

    Parameters
    ----------
    show_file : Path or None
        The show document; its folder, and ``kits`` in it, come first.
    kit_dirs : sequence of Path
        Folders that the user names.

    Returns
    -------
    tuple of Path
        Without repeats, some perhaps not there: the show's, those named, the user's own
        (`user_kits_dir`), those of installed packages, and last the shipped profiles.

    Examples
    --------
    >>> [p.name for p in kit_folders(Path("club/night.toml"), [Path("store")])][:3]
    ['club', 'kits', 'store']
    """
    from bridgewire.kits.packages import package_folders

    show_dirs = () if show_file is None else (show_file.parent, show_file.parent / "kits")
    user = user_kits_dir()
    own = () if user is None else (user,)
    places = (*show_dirs, *kit_dirs, *own, *package_folders(), shipped_profiles_dir())
    return tuple(dict.fromkeys(places))
