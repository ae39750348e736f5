"""Published sets of go/no-go data with their printed answers, from the folder ``data``."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from attrs import frozen

from bridgewire.bench.sensitivity.approximate import level_from_covariance
from bridgewire.bench.sensitivity.fit import Fit, fit
from bridgewire.bench.sensitivity.links import LINKS, Link
from bridgewire.bench.sensitivity.misfit import misfit
from bridgewire.bench.sensitivity.trials import Trials, from_groups, from_scale, from_shots

FOLDER = Path(__file__).parent / "data"
SETS: dict[str, dict[str, Any]] = {
    file.stem: tomllib.loads(file.read_text(encoding="utf-8"))
    for file in sorted(FOLDER.glob("*.toml"))
}


@frozen
class Printed:
    """One printed value."""

    name: str
    by: str
    """``published``, ``cross-check`` (a fit by others of the published data) or a source."""
    link: str
    scale: str
    quantity: str
    digits: tuple[str, ...]
    within: float | None
    """Where the printed value is known to be loose: relative tolerance."""

    @property
    def id(self) -> str:
        """For the test's name."""
        return f"{self.name}-{self.link}-{self.scale}-{self.quantity}-{self.by.split(':')[0]}"

    def tolerance(self, digits: str) -> float:
        """Half a unit of the last printed digit, or what the set states."""
        decimals = len(digits.partition(".")[2])
        half = 0.5000001 * 10.0**-decimals
        return half if self.within is None else max(half, self.within * abs(float(digits)))


def trials_of(name: str) -> Trials:
    """The data of a set."""
    data = SETS[name]
    if "tried" in data:
        return from_groups(data["level"], data["tried"], data["lit"])
    return from_shots(data["level"], data["lit"])


def fitted(name: str, link: Link, scale: str = "linear") -> Fit:
    """The curve of a set, which has one."""
    found = fit(trials_of(name), link, scale)
    assert isinstance(found, Fit)
    return found


def printed_values() -> list[Printed]:
    """Every printed value of every set."""
    return [
        Printed(
            name,
            expect["by"],
            expect["link"],
            expect["scale"],
            quantity,
            tuple(value) if isinstance(value, list) else (value,),
            expect.get("within"),
        )
        for name, data in SETS.items()
        for expect in data["expect"]
        for quantity, value in expect["values"].items()
    ]


def computed(printed: Printed) -> tuple[float, ...]:
    """Our values for a printed one."""
    found = fitted(printed.name, LINKS[printed.link], printed.scale)
    kind, _, share = printed.quantity.partition(":")
    tests = misfit(found)
    plain = {
        "b0": found.b0,
        "b1": found.b1,
        "b0_se": found.se_coefficients[0],
        "b1_se": found.se_coefficients[1],
        "mu": found.mu,
        "mu_se": found.se_mu,
        "sigma": found.sigma,
        "sigma_se": found.se_sigma,
        "log_likelihood": found.log_likelihood,
        "deviance": tests.deviance,
        "pearson": tests.pearson,
        "pearson_p": tests.pearson_p,
        "df": float(tests.df),
    }
    if kind == "fitted":
        return tuple(found.fitted.tolist())
    if kind in plain:
        value = plain[kind]
        assert value is not None
        return (value,)
    near = level_from_covariance(
        found.b0, found.b1, found.covariance, found.link.quantile(float(share))
    )
    assert near.fieller is not None
    at_share = {
        "q": near.value,
        "q_se": near.se,
        "level": found.level(float(share)),
        "delta_low": near.delta[0],
        "delta_high": near.delta[1],
        "fieller_low": near.fieller[0],
        "fieller_high": near.fieller[1],
        "fieller_level_low": from_scale(near.fieller[0], found.scale),
        "fieller_level_high": from_scale(near.fieller[1], found.scale),
    }
    return (at_share[kind],)
