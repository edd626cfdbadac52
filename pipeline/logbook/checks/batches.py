"""Every rule about whole batches, in the order in which a maker should hear of them."""

import polars as pl

from pipeline.logbook.checks.doses import (
    nutrient_in_total,
    sorbate_in_total,
    spoon_weight,
    sulphite_in_one_dose,
    sulphite_in_total,
)
from pipeline.logbook.checks.gravity import (
    gravity_rises,
    no_start,
    refractometer_after_start,
    stuck,
)
from pipeline.logbook.checks.names import example_left, nothing_read, spelled_two_ways
from pipeline.logbook.checks.safety import (
    enzyme_in_hot_must,
    fruit_left_in,
    hot_start,
    not_stabilised,
    raw_elder,
)
from pipeline.logbook.checks.vessel import more_than_the_vessel
from pipeline.logbook.checks.volume import (
    topped_up_with_water,
    topped_up_with_what,
    volume_grows,
)
from pipeline.logbook.checks.weights import (
    packet_weight_unknown,
    powder_or_solution,
    weight_unknown,
)
from pipeline.logbook.loaded import Loaded, Rule

RULES: tuple[Rule, ...] = (
    not_stabilised,
    sulphite_in_one_dose,
    raw_elder,
    sulphite_in_total,
    sorbate_in_total,
    nutrient_in_total,
    enzyme_in_hot_must,
    hot_start,
    fruit_left_in,
    gravity_rises,
    stuck,
    no_start,
    refractometer_after_start,
    volume_grows,
    more_than_the_vessel,
    topped_up_with_water,
    topped_up_with_what,
    packet_weight_unknown,
    weight_unknown,
    powder_or_solution,
    spoon_weight,
    spelled_two_ways,
    example_left,
    nothing_read,
)


def batch_warnings(loaded: Loaded) -> list[pl.DataFrame]:
    """Return what every rule finds in the rows that loaded."""
    return [rule(loaded) for rule in RULES]
