"""Optional packages, loaded when first needed; one that is missing is one line saying what to install."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from cladmodel.errors import OutputError


def load(extra: str, module: str) -> Any:
    """Import a module of an optional package.

    Parameters
    ----------
    extra : str
        The extra of cladmodel that brings the package, such as ``ifc``.
    module : str

    Returns
    -------
    module

    Raises
    ------
    OutputError
        If the package is not installed or cannot be loaded; the message says how to install it.
    """
    try:
        return import_module(module)
    except ImportError as error:
        package = module.split(".")[0]
        found = isinstance(error, ModuleNotFoundError) and error.name == package
        why = "is not installed" if found else f"cannot be loaded ({' '.join(str(error).split())})"
        raise OutputError(
            f"{package}, which this format needs, {why}: pip install 'cladmodel[{extra}]'"
        ) from error
