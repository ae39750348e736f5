"""What all readings of an evening have in common: the date, the meter and its leads."""

from __future__ import annotations

from attrs import frozen

from bridgewire.authoring.entry_data import has
from bridgewire.authoring.meter import Accuracy, reading
from bridgewire.authoring.question import Answers
from bridgewire.model.band import Band


@frozen
class Bench:
    """What all readings have in common; an accuracy is None where the meter's is not known."""

    date: str
    """As written, empty where not noted."""
    meter: str
    volts: Accuracy | None
    ohms: Accuracy | None
    amperes: Accuracy | None
    leads: Band | None
    """Resistance of the meter's own leads, ohm; None where they were not read."""
    leads_text: str
    """What was done about them, for the source of a reading."""

    @classmethod
    def of(cls, kit: Answers, meter: Answers) -> Bench:
        """Read the answers about kit and meter."""

        def accuracy(key: str) -> Accuracy | None:
            return Accuracy.parse(meter[key]) if has(meter, key) else None

        ohms = accuracy("ohm_accuracy")
        leads = read(meter["leads"], ohms) if has(meter, "leads") else None
        if leads is not None and leads.min < 0.0:
            leads = Band(0.0, max(leads.typical, 0.0), leads.max, stated=leads.stated)
        return cls(
            kit["measured_on"] if has(kit, "measured_on") else "",
            meter["name"] if has(meter, "name") else "a meter",
            accuracy("volt_accuracy"),
            ohms,
            accuracy("current_accuracy"),
            leads,
            f"meter leads {meter['leads']} ohm taken off"
            if leads is not None
            else "meter leads not taken off",
        )

    def source(self, accuracy: Accuracy | None, what: str) -> str:
        """The source of a measured value."""
        when = f"measured {self.date}" if self.date else "measured, date not noted,"
        how = str(accuracy) if accuracy is not None else "of unknown accuracy"
        return f"{when} with {self.meter} {how}: {what}"

    def comments(self) -> list[str]:
        """What stands at the top of the profile."""
        return [
            "Written by `bridgewire kits new` from measurements and labels. Edit it freely.",
            "Bands of measured values are intervals: every combination of the meter's stated "
            "limits, not a standard deviation.",
            "A computed verdict is no proof. Keep people clear, and measure on site before firing.",
        ]


def read(text: str, accuracy: Accuracy | None) -> Band:
    """Read a meter reading; without a known accuracy it is a bare number without a tolerance."""
    return Band.exact(float(text)) if accuracy is None else reading(text, accuracy)
