"""Spare boards: how many more to order, since some that come will be turned down."""

from __future__ import annotations

import math

from cladmodel.errors import SettingOutError

# Two or three boards in a hundred are too split, waney or bowed to use. [-] common practice, no source
REJECTED = 0.03
# How sure one wants to be of enough sound boards. [-] common practice, no source
SURE = 0.95


def spare_boards(boards: int, rejected: float = REJECTED, sure: float = SURE) -> int:
    """Fewest spares with which enough boards will be sound.

    Parameters
    ----------
    boards : int
        Boards that the plan cuts.
    rejected : float
        Share of boards that are turned down, each by itself. [-]
    sure : float
        Wanted chance that at least ``boards`` are sound. [-]

    Returns
    -------
    int

    Raises
    ------
    SettingOutError
        If a share is not at least 0 and below 1.

    Examples
    --------
    >>> spare_boards(21, 0.02), spare_boards(50, 0.03)
    (2, 4)
    """
    if not (0.0 <= rejected < 1.0 and 0.0 <= sure < 1.0):
        raise SettingOutError(f"spares: rejected {rejected} and sure {sure} must be at least 0 and below 1")
    if boards <= 0 or rejected == 0.0:
        return 0
    # Chance that the last sound board needed comes after exactly k rejected ones.
    spares, chance = 0, 0.0
    while True:
        log = math.lgamma(boards + spares) - math.lgamma(boards) - math.lgamma(spares + 1)
        chance += math.exp(log + boards * math.log1p(-rejected) + spares * math.log(rejected))
        if chance >= sure:
            return spares
        spares += 1
