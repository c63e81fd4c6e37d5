"""Short names for arrays by what they hold."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cladmodel.model import Floats, Ints

__all__ = ["Bools", "Bytes", "Floats", "Ints", "Singles"]

Singles = NDArray[np.float32]
"""What pictures are reckoned in: half the memory, and finer than any screen shows."""

Bools = NDArray[np.bool_]
Bytes = NDArray[np.uint8]
