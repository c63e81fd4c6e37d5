"""Optional packages, loaded when first needed; one that is missing is one line saying what to install."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from cladmodel.errors import OutputError

# What brings each extra's modules, by the name it is installed under.
PACKAGES = {"usdz": "usd-core", "ifc": "ifcopenshell"}


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
        missing = isinstance(error, ModuleNotFoundError) and error.name == module.split(".")[0]
        why = "is not installed" if missing else f"cannot be loaded ({' '.join(str(error).split())})"
        install = f"in cladmodel's folder, pip install '.[{extra}]'"
        raise OutputError(f"this format needs {PACKAGES[extra]}, which {why}: {install}") from error
