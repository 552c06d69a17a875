"""Sums of water: what its pipes carry, and where it stands."""

from __future__ import annotations

from collections.abc import Mapping

from brinebook.desk.reckon import Sum
from brinebook.desk.reckon_choice import CHOICE_SUMS
from brinebook.desk.reckon_friction import FRICTION_SUMS
from brinebook.desk.reckon_levels import LEVEL_SUMS
from brinebook.desk.reckon_pipes import PIPE_SUMS

WATER_SUMS: Mapping[str, Sum] = {**PIPE_SUMS, **CHOICE_SUMS, **LEVEL_SUMS, **FRICTION_SUMS}
