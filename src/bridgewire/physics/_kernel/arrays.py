"""What goes into the compiled code and what comes out of it, and where a circuit is worked on.

All arrays are flat. Circuits either have their structure each (their parts stand one after the
other), or are draws of one structure (`shared`), which then starts at 0 for all of them.
"""

from __future__ import annotations

from typing import NamedTuple

from bridgewire.physics.network import Bools, Floats, Ints


class Structure(NamedTuple):
    """How circuits hang together. Parts of a circuit are numbered from its own first one."""

    node_first: Ints
    """First node of each circuit and one past the last; likewise below."""
    string_first: Ints
    parent: Ints
    string_node: Ints
    bridge_first: Ints
    """First bridge of each string, counted within its circuit, and one past the circuit's last:
    one entry more than it has strings."""
    string_on: Bools
    """Strings by segments."""
    boundary_s: Floats
    """Circuits (or one row for all) by segments + 1."""


class Values(NamedTuple):
    """Numbers of each circuit: of its nodes, of its strings, its own, and of its bridges."""

    node_ohm: Floats
    fixed_ohm: Floats
    emf_V: Floats
    internal_ohm: Floats
    limit_A: Floats
    short_circuit_A: Floats
    nominal_V: Floats
    capacitance_F: Floats
    drop_V: Floats
    cold_ohm: Floats
    rise_per_x: Floats
    threshold_A: Floats
    tau_s: Floats
    burn_open: Floats
    after_ohm: Floats


class Results(NamedTuple):
    """What is written: state of the bridges (read first), their events, and the circuits'."""

    x: Floats
    lit: Bools
    parted: Bools
    light_s: Floats
    part_s: Floats
    light_A: Floats
    light_u: Floats
    peak_x: Floats
    peak_A: Floats
    peak_branch_A: Floats
    """Not written where it has no size."""
    peak_supply_A: Floats
    lowest_supply_V: Floats
    limited: Bools
    charge_C: Floats
    end_emf_V: Floats
    steps: Ints


class Settings(NamedTuple):
    """The settings of `bridgewire.physics.transient`, handed in so that no kept code holds them."""

    tolerance: float
    event_tolerance: float
    look_ahead: float
    least_ohm: float


class OneSupply(NamedTuple):
    """The supply of one circuit."""

    emf_V: float
    internal_ohm: float
    limit: bool
    """Whether there is one."""
    short_circuit_A: float
    slope: float
    """How the limit rises with the output voltage, A/V."""
    capacitance_F: float
    drop_V: float
    least_ohm: float


class Size(NamedTuple):
    """How many parts one circuit has."""

    nodes: int
    strings: int
    bridges: int
    segments: int


class Totals(NamedTuple):
    """Results of one circuit that are no array."""

    peak_A: float
    lowest_V: float
    limited: bool
    charge_C: float
    emf_V: float
    steps: int


# One circuit at a time is copied into two work arrays and stepped there: an array that is handed
# about inside a step costs more in reference counts than all of the arithmetic.
# Rows of the work array of integers:
PARENT, STRING_NODE, FIRST, LIT, PARTED = range(5)
# Rows of the work array of numbers, of nodes,
NODE_OHM, LOAD, SEEN, VOLTS, PEAK_BRANCH, MID_BRANCH, LAST_BRANCH = range(7)
# of strings,
FIXED_OHM, SIEMENS, PEAK_STRING, MID_STRING, LAST_STRING = range(7, 12)
# of boundaries between segments,
BOUNDARY = 12
# of bridges: constants (RISE is `a`; BASE_OHM and RISE_OHM give the resistance; HEAT is 1 / I0^2,
# 0 once parted; OPENS is the burn-open level, ``inf`` once parted),
BASE_OHM, RISE_OHM, HEAT, RISE, RATE, OPENS, REACH, AFTER_OHM, THRESHOLD = range(13, 22)
# step,
X, U0, SLOPE, Z, HALF, X_MID, UM, X_END, U1, SECOND, TOP_S, TOP_X = range(22, 34)
# and results.
LIGHT_S, PART_S, LIGHT_A, LIGHT_U, PEAK_X = range(34, 39)
ROWS, INTEGER_ROWS = 39, 5
