"""Which numbers make sense: one table, by class and attribute.

The upper ends are far above anything in the trade; they keep a slip of the keyboard, and numbers
that would overflow the arithmetic, out of the model. ``tests/documents/test_ranges.py`` holds
that every number of the model has its entry.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from attrs import frozen

from bridgewire.documents.limits import MAX_BRIDGES_ON_WAY
from bridgewire.model import bench, kit, plan_site, show
from bridgewire.model.band import Band


@frozen
class Range:
    """Numbers from `low` to `high`, both included unless `above` leaves `low` out.

    >>> Range(0, above=True).words()
    'above 0'
    >>> Range(0, 100).accepts(100.0)
    True
    """

    low: float = -math.inf
    high: float = math.inf
    above: bool = False

    def accepts(self, value: float) -> bool:
        """Tell whether a number lies in the range; never true for NaN."""
        if self.above and value == self.low:
            return False
        return self.low <= value <= self.high

    def accepts_band(self, band: Band) -> bool:
        """Tell whether a band lies in the range, ends included."""
        return self.accepts(band.min) and self.accepts(band.max)

    def clipped(self, value: float) -> float:
        """Move a number to the nearest end of the range."""
        return float(min(max(value, self.low), self.high))

    def words(self) -> str:
        """Say the range; empty where anything goes."""
        low = f"{'above' if self.above else 'at least'} {self.low:.10g}"
        high = f"at most {self.high:.10g}"
        if math.isinf(self.low):
            return "" if math.isinf(self.high) else high
        return low if math.isinf(self.high) else f"{low} and {high}"


ANY = Range()
FORMAT = Range(1, 1_000_000)
COUNT = Range(1, 10_000)
COUNT_FROM_ZERO = Range(0, 10_000)
LENGTH_M = Range(0, 100_000)
LENGTH_MM = Range(0, 1_000_000)
COORDINATE_M = Range(-1_000_000, 1_000_000)
TIME_S = Range(0, 1_000_000)
TIME_ABOVE_ZERO_S = Range(0, 1_000_000, above=True)
PULSE_S = Range(0, 3600, above=True)
CUE_TIME_S = Range(-86_400, 1_000_000)
CURRENT_A = Range(0, 10_000)
CURRENT_ABOVE_ZERO_A = Range(0, 10_000, above=True)
VOLTAGE_V = Range(0, 10_000)
VOLTAGE_ABOVE_ZERO_V = Range(0, 10_000, above=True)
RESISTANCE_OHM = Range(0, 1_000_000)
RESISTANCE_ABOVE_ZERO_OHM = Range(0, 1_000_000, above=True)
PERCENT = Range(0, 100)
WEATHER_C = Range(-60, 80)
LIMIT_C = Range(-100, 200)
FACTOR = Range(0, 1000, above=True)
MONEY = Range(0, 1_000_000)
MINUTES = Range(0, 10_000)
FRACTION = Range(0, 1)

RANGES: Mapping[tuple[type, str], Range] = {
    (kit.Contact, "contact_ohm"): RESISTANCE_OHM,
    (kit.Contact, "rated_A"): CURRENT_ABOVE_ZERO_A,
    (kit.CableSpec, "conductors"): COUNT,
    (kit.CableSpec, "gauge_awg"): Range(0, 40),
    (kit.CableSpec, "area_mm2"): Range(0, 1000, above=True),
    (kit.CableSpec, "clad_copper_pct"): Range(0, 100, above=True),
    (kit.CableSpec, "ohm_per_m"): Range(0, 1000, above=True),
    (kit.CableSpec, "max_length_m"): Range(0, 100_000, above=True),
    (kit.CableSpec, "rated_A"): CURRENT_ABOVE_ZERO_A,
    (kit.CableSpec, "drum_share"): FRACTION,
    (kit.StripKind, "ways"): COUNT,
    (kit.StripKind, "through"): COUNT_FROM_ZERO,
    (kit.StripKind, "inner_ohm"): RESISTANCE_OHM,
    (kit.StripKind, "leads_per_terminal"): COUNT,
    (kit.SplitterKind, "outlets"): COUNT,
    (kit.SplitterKind, "inner_ohm"): RESISTANCE_OHM,
    (kit.Diode, "drop_V"): Range(0, 100),
    (kit.Diode, "slope_ohm"): RESISTANCE_OHM,
    (kit.PathMap, "feed_conductors"): COUNT,
    (kit.PathMap, "return_conductors"): COUNT,
    (kit.PathMap, "rows"): COUNT,
    (kit.PathMap, "columns"): COUNT,
    (kit.CurrentLimit, "limit_A"): CURRENT_ABOVE_ZERO_A,
    (kit.CurrentLimit, "short_circuit_A"): CURRENT_ABOVE_ZERO_A,
    (kit.ChargePoint, "charge_pct"): PERCENT,
    (kit.ChargePoint, "open_circuit_V"): VOLTAGE_V,
    (kit.ColdPoint, "at_C"): LIMIT_C,
    (kit.ColdPoint, "capacity_pct"): Range(0, 200),
    (kit.ColdPoint, "internal_ohm_factor"): FACTOR,
    (kit.BatterySupply, "open_circuit_V"): VOLTAGE_ABOVE_ZERO_V,
    (kit.BatterySupply, "internal_ohm"): RESISTANCE_OHM,
    (kit.BatterySupply, "capacity_Ah"): Range(0, 100_000, above=True),
    (kit.BatterySupply, "standby_A"): CURRENT_A,
    (kit.BatterySupply, "min_C"): LIMIT_C,
    (kit.BatterySupply, "max_C"): LIMIT_C,
    (kit.RegulatedSupply, "open_circuit_V"): VOLTAGE_ABOVE_ZERO_V,
    (kit.RegulatedSupply, "internal_ohm"): RESISTANCE_OHM,
    (kit.RegulatedSupply, "standby_A"): CURRENT_A,
    (kit.ModelSupply, "open_circuit_V"): VOLTAGE_ABOVE_ZERO_V,
    (kit.CapacitorSupply, "charged_V"): VOLTAGE_ABOVE_ZERO_V,
    (kit.CapacitorSupply, "capacitance_F"): Range(0, 10_000, above=True),
    (kit.CapacitorSupply, "series_ohm"): RESISTANCE_OHM,
    (kit.CapacitorSupply, "recharge_s"): TIME_ABOVE_ZERO_S,
    (kit.PulseChoice, "offered_s"): PULSE_S,
    (kit.PulseChoice, "min_s"): PULSE_S,
    (kit.PulseChoice, "max_s"): PULSE_S,
    (kit.PulseChoice, "step_s"): PULSE_S,
    (kit.HoldOff, "time_s"): TIME_S,
    (kit.ContinuityTest, "current_A"): CURRENT_A,
    (kit.ContinuityTest, "threshold_ohm"): RESISTANCE_ABOVE_ZERO_OHM,
    (kit.BoxKind, "outputs"): COUNT,
    (kit.BoxKind, "ways"): COUNT,
    (kit.BoxKind, "max_strips"): COUNT,
    (kit.BoxKind, "switch_ohm"): RESISTANCE_OHM,
    (kit.BoxKind, "min_supply_V"): VOLTAGE_V,
    (kit.BoxKind, "max_output_A"): CURRENT_ABOVE_ZERO_A,
    (kit.IgniterClass, "bridge_ohm"): RESISTANCE_ABOVE_ZERO_OHM,
    (kit.IgniterClass, "lead_ohm"): RESISTANCE_OHM,
    (kit.IgniterClass, "alpha_per_K"): Range(-0.01, 0.1),
    (kit.IgniterClass, "heat_capacity_J_per_K"): Range(0, 1_000_000, above=True),
    (kit.IgniterClass, "loss_W_per_K"): Range(0, 1_000_000, above=True),
    (kit.IgniterClass, "lit_C"): Range(50, 5000),
    (kit.IgniterClass, "threshold_A"): CURRENT_ABOVE_ZERO_A,
    (kit.IgniterClass, "tau_s"): TIME_ABOVE_ZERO_S,
    (kit.IgniterClass, "no_fire_A"): CURRENT_ABOVE_ZERO_A,
    (kit.IgniterClass, "all_fire_A"): CURRENT_ABOVE_ZERO_A,
    (kit.IgniterClass, "all_fire_time_s"): TIME_ABOVE_ZERO_S,
    (kit.IgniterClass, "impulse_mJ_per_ohm"): Range(0, 1_000_000_000, above=True),
    (kit.IgniterClass, "series_fire_A"): CURRENT_ABOVE_ZERO_A,
    (kit.IgniterClass, "burn_open"): Range(1, 1000, above=True),
    (kit.IgniterClass, "after_fire_ohm"): RESISTANCE_OHM,
    (kit.IgniterClass, "default_pulse_s"): PULSE_S,
    (kit.IgniterClass, "batch_share"): FRACTION,
    (kit.CableSpec, "price_per_m"): MONEY,
    (kit.Contact, "price_each"): MONEY,
    (kit.StripKind, "price_each"): MONEY,
    (kit.SplitterKind, "price_each"): MONEY,
    (kit.IgniterClass, "price_each"): MONEY,
    (kit.BoxKind, "price_each"): MONEY,
    (kit.Kit, "format"): FORMAT,
    (show.Site, "ambient_C"): WEATHER_C,
    (show.Site, "cable_slack_pct"): Range(0, 1000),
    (show.Requirements, "margin"): Range(0, 1000, above=True),
    (show.Requirements, "spread_s"): TIME_S,
    (show.Requirements, "latest_light_s"): TIME_ABOVE_ZERO_S,
    (show.Requirements, "effect_tolerance_s"): TIME_S,
    (show.Requirements, "all_fire_factor"): Range(1, 1000),
    (show.Requirements, "no_fire_fraction"): Range(0, 1, above=True),
    (show.Requirements, "reliability"): FRACTION,
    (show.Scatter, "band_sigma"): Range(0.5, 10),
    (show.Costs, "per_m"): MONEY,
    (show.Costs, "per_output"): MONEY,
    (show.Costs, "per_minute"): MONEY,
    (show.Costs, "per_shift_s"): MONEY,
    (show.Costs, "minutes_per_run"): MINUTES,
    (show.Costs, "minutes_per_m"): MINUTES,
    (show.Costs, "minutes_per_part"): MINUTES,
    (show.Costs, "minutes_per_igniter"): MINUTES,
    (show.Position, "at_m"): COORDINATE_M,
    (show.Box, "at_m"): COORDINATE_M,
    (show.Box, "supply_V"): VOLTAGE_V,
    (show.Box, "charge_pct"): PERCENT,
    (show.Box, "ambient_C"): WEATHER_C,
    (show.Box, "standby_s"): TIME_S,
    (show.Strip, "at_m"): COORDINATE_M,
    (show.Strip, "first_way"): COUNT,
    (show.Splitter, "at_m"): COORDINATE_M,
    (show.Run, "length_m"): LENGTH_M,
    (show.Run, "parallel"): COUNT,
    (show.Run, "joints"): COUNT_FROM_ZERO,
    (show.Drum, "length_m"): Range(0, 100_000, above=True),
    (show.Drum, "count"): COUNT,
    (show.Cutting, "allowance_m"): Range(0, 1000),
    (show.Cutting, "step_m"): Range(0.01, 100),
    (show.Cutting, "keep_from_m"): LENGTH_M,
    (show.Fuse, "length_mm"): LENGTH_MM,
    (show.Fuse, "burn_mm_per_s"): Range(0, 1_000_000, above=True),
    (show.Fuse, "delay_s"): TIME_S,
    (show.Igniter, "count"): COUNT,
    (show.Igniter, "extra_lead_m"): LENGTH_M,
    (show.Repeat, "times"): Range(1, 100),
    (show.Repeat, "gap_s"): TIME_S,
    (show.Cue, "output"): COUNT,
    (show.Cue, "way"): COUNT,
    (show.Cue, "time_s"): CUE_TIME_S,
    (show.Cue, "effect_at_s"): CUE_TIME_S,
    (show.Cue, "pulse_s"): PULSE_S,
    (show.Cue, "spread_s"): TIME_S,
    (show.Cue, "latest_light_s"): TIME_ABOVE_ZERO_S,
    (show.Show, "format"): FORMAT,
    (bench.Meter, "voltage_tol_V"): Range(0, 100, above=True),
    (bench.Meter, "resistance_tol_ohm"): Range(0, 1000, above=True),
    (bench.Meter, "resistance_tol_pct"): Range(0, 100, above=True),
    (bench.Meter, "time_tol_s"): TIME_ABOVE_ZERO_S,
    (bench.Meter, "together_s"): TIME_ABOVE_ZERO_S,
    (bench.Seen, "order"): COUNT,
    (bench.Seen, "time_s"): TIME_S,
    (bench.Seen, "reading_ohm"): RESISTANCE_OHM,
    (bench.Shot, "pulse_s"): PULSE_S,
    (bench.Shot, "supply_V"): VOLTAGE_V,
    (bench.Shot, "rest_s"): TIME_S,
    (bench.FreshReading, "reading_ohm"): RESISTANCE_OHM,
    (bench.Trial, "ambient_C"): WEATHER_C,
    (bench.BenchRecord, "format"): FORMAT,
    (plan_site.PlanSettings, "chain"): Range(1, 8),
    (plan_site.PlanSettings, "neighbours"): Range(0, 50),
    (plan_site.PlanSettings, "places"): Range(1, 100),
    (plan_site.PlanSettings, "run_tol_pct"): Range(0, 50),
    (plan_site.PlanSettings, "end_allowance_m"): Range(0, 1000),
    (plan_site.PlanSettings, "length_step_m"): Range(0.1, 100),
    (plan_site.PlanSettings, "spare_ways"): COUNT_FROM_ZERO,
    (plan_site.PlanSettings, "apart_s"): TIME_S,
    (plan_site.Wanted, "count"): Range(1, MAX_BRIDGES_ON_WAY),
    (plan_site.Wanted, "time_s"): CUE_TIME_S,
    (plan_site.Wanted, "times_s"): CUE_TIME_S,
    (plan_site.Wanted, "effect_at_s"): CUE_TIME_S,
    (plan_site.Wanted, "effects_at_s"): CUE_TIME_S,
    (plan_site.Wanted, "pulse_s"): PULSE_S,
    (plan_site.Wanted, "latest_light_s"): TIME_ABOVE_ZERO_S,
    (plan_site.Wanted, "spread_s"): TIME_S,
    (plan_site.Stock, "count"): COUNT,
    (plan_site.Stock, "length_m"): Range(0, 100_000, above=True),
    (plan_site.Stock, "supply_V"): VOLTAGE_V,
    (plan_site.Stock, "charge_pct"): PERCENT,
    (plan_site.Stock, "standby_s"): TIME_S,
    (plan_site.PlanSite, "format"): FORMAT,
}

ID_PATTERN = r"^[^\s/:](?:[^/:\x00-\x1f]{0,118}[^\s/:\x00-\x1f])?$"
"""Ids: 1 to 120 characters, no slash or colon (references use them), no space at the ends."""
ID_WORDS = 'a name of 1 to 120 characters without "/" or ":" and without spaces at its ends'

TEXT_PATTERNS: Mapping[tuple[type, str], tuple[str, str]] = {
    (cls, "id"): (ID_PATTERN, ID_WORDS)
    for cls in (
        kit.Contact,
        kit.CableSpec,
        kit.StripKind,
        kit.SplitterKind,
        kit.IgniterClass,
        kit.BoxKind,
        kit.Kit,
        show.Position,
        show.Box,
        show.Strip,
        show.Splitter,
        show.Run,
        show.Drum,
        show.Igniter,
        show.Cue,
        bench.Wiring,
        bench.Trial,
        bench.Shot,
        plan_site.Wanted,
        plan_site.AllowedPath,
    )
} | {
    (show.CueList, "delimiter"): (r"^[^\"\r\n]$", "one character"),
    (show.CueList, "importer"): (r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", "words joined by hyphens"),
    (show.CueList, "decimal"): (r"^[.,]$", '"." or ","'),
    (bench.Results, "delimiter"): (r"^[^\"\r\n]$", "one character"),
    (bench.Results, "decimal"): (r"^[.,]$", '"." or ","'),
}
"""Patterns of texts, and how to say them."""
