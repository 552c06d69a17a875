"""Numbers and units as people type them: read at the doors, refused where they are ambiguous.

Pure and free of numpy, so that `brinebook --help` and a kitchen-table conversion pay for neither.
The chemistry (what a micromole per kilogram is in milliequivalents per litre) is one room up, in
``brinebook.water.quantities``.
"""

from brinebook.units.amounts import (
    DIMENSIONS,
    Amount,
    amount_unit,
    convert_amount,
    dimension_of,
    parse_amount,
)
from brinebook.units.numbers import (
    Reading,
    format_number,
    parse_number,
    parse_reading_value,
    split_amount,
)
from brinebook.units.problems import (
    DimensionMismatch,
    NumberUnreadable,
    OutOfRange,
    QuantityNeeded,
    QuantityUnknown,
    TemperatureNeeded,
    UnitAmbiguous,
    UnitMissing,
    UnitUnknown,
)
from brinebook.units.spelling import GravityReference, gravity_reference
from brinebook.units.table import QUANTITIES, Quantity, find_quantity, read_unit

__all__ = [
    "DIMENSIONS",
    "QUANTITIES",
    "Amount",
    "DimensionMismatch",
    "GravityReference",
    "NumberUnreadable",
    "OutOfRange",
    "Quantity",
    "QuantityNeeded",
    "QuantityUnknown",
    "Reading",
    "TemperatureNeeded",
    "UnitAmbiguous",
    "UnitMissing",
    "UnitUnknown",
    "amount_unit",
    "convert_amount",
    "dimension_of",
    "find_quantity",
    "format_number",
    "gravity_reference",
    "parse_amount",
    "parse_number",
    "parse_reading_value",
    "read_unit",
    "split_amount",
]
