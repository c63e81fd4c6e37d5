"""Joint lines and saw cuts of a whole job chosen together, all walls in one order."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.by_hand import by_hand, joint_cost
from cladmodel.settingout.cutting.columns import Column, trimmed
from cladmodel.settingout.cutting.inputs import Job
from cladmodel.settingout.cutting.jointed import (
    Program,
    cheaper_layout,
    cheapest_arcs,
    full_program,
    pattern_of,
    pooled_program,
    price_out,
    program_with,
)
from cladmodel.settingout.cutting.knapsack import Kind, Use
from cladmodel.settingout.cutting.network import Network, network, pieces_of
from cladmodel.settingout.cutting.plans import Choice, Joints, Layout
from cladmodel.settingout.cutting.programs import Effort, Watch, rounded_up, whole
from cladmodel.settingout.cutting.reach import fewest_joints, need_reach
from cladmodel.settingout.cutting.stock import (
    Counted,
    cut_counts,
    kinds_of,
    plan_of,
    price_unit,
    too_little_stock,
)
