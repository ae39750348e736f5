"""What is asked about boxes: ways and their path, the supply, pulses, and the test."""

from __future__ import annotations

from bridgewire.authoring.question import Question, Section
from bridgewire.authoring.question_wording import CONTACT_HELP, ID_HELP, TITLE_HELP, source_question

_BATTERY = ("battery",)
_LOADED = ("battery", "regulated")
_CAPACITOR = ("capacitor",)
_LOAD_HELP = (
    "With no igniter connected and the box armed as its manual says. Use a power resistor of known "
    "value that can bear the current for a second, and read the voltage at the output while the "
    "way is on. Where a way has a diode, read at the battery's own terminals instead, or the diode "
    "is counted twice. Read the voltage without load at the same place."
)

BOX = Section(
    "box",
    "box",
    (
        Question("id", "Short name of the box", "id", ID_HELP, required=True),
        Question("title", "What is it", "text", TITLE_HELP),
        Question("outputs", "How many outputs", "whole", "Connectors for strips.", required=True,
                 least=1, most=1000),
        Question("ways", "How many ways each output has", "whole",
                 "Firing circuits of one connector.", required=True, least=1, most=1000),
        Question("max_strips", "How many strips one output addresses", "whole", "From the manual.",
                 least=1, most=1000),
        Question(
            "map", "How feed and return of a way run in the cable", "choice",
            "pair: two conductors for each way. common-return: one for each way and a shared "
            "return. matrix: rows and columns, with a diode in each way.",
            choices=("pair", "common-return", "matrix"), required=True,
        ),
        Question("feed_conductors", "How many conductors in parallel carry the feed", "whole",
                 "Mostly 1.", required=True, least=1, most=100),
        Question("return_conductors", "How many conductors in parallel carry the return", "whole",
                 "Mostly 1; a common return often has 2 or more.", required=True, least=1,
                 most=100),
        Question("rows", "How many rows", "whole", "Feeds of the matrix.", required=True,
                 only_if=("map", ("matrix",)), least=1, most=100),
        Question("columns", "How many columns", "whole", "Returns of the matrix.", required=True,
                 only_if=("map", ("matrix",)), least=1, most=100),
        Question(
            "diode", "Is there a diode in each way", "choice",
            "A matrix needs one. The circuit diagram shows it; so does a way that conducts in one "
            "direction only.",
            choices=("yes", "no"), required=True,
        ),
        Question(
            "diode_drop_V", "Voltage across the diode", "quantity",
            "Constant part: the data sheet of the diode, or read it at a small and at the firing "
            "current. 0.5 to 0.8, for instance.",
            unit="V", required=True, only_if=("diode", ("yes",)), most=10,
        ),
        Question(
            "diode_slope_ohm", "How much that rises per ampere", "quantity",
            "Slope in Ω: 0.02 to 0.05, for instance.",
            unit="ohm", required=True, only_if=("diode", ("yes",)), most=10,
        ),
        Question("output_contact", "Contact of its outputs", "id", CONTACT_HELP),
        Question(
            "switch_ohm", "Resistance of the switch of a way", "quantity",
            "The relay or transistor that switches a way, from its data sheet or from the voltage "
            "across it at a known current. If your load readings below were taken at the output, "
            "they have it in them: answer 0.",
            unit="ohm", most=1000,
        ),
        Question(
            "supply", "Supply", "choice",
            "battery; regulated: a converter or mains supply that holds its voltage; capacitor: "
            "charged, then discharged into the igniter.",
            choices=("battery", "regulated", "capacitor"), required=True,
        ),
        Question(
            "open_V", "Voltage without load", "reading",
            "Full battery, an hour off the charger. Write every digit that the meter shows.",
            unit="V", only_if=("supply", _LOADED), least=0.1, most=1000,
        ),
        Question("load_1_ohm", "First known resistor, the larger one", "quantity",
                 _LOAD_HELP + " Value with its tolerance: 10 ± 1 %.", unit="ohm",
                 only_if=("supply", _LOADED), known="open_V", least=0.001, most=1e5),
        Question("load_1_V", "Voltage on it", "reading", _LOAD_HELP, unit="V", known="load_1_ohm",
                 least=0.001, most=1000),
        Question("load_2_ohm", "Second known resistor, a smaller one", "quantity",
                 "About as much current as your heaviest firing takes. It shows whether the box "
                 "limits the current; without it the internal "
                 "resistance is left out.", unit="ohm", known="load_1_V", least=0.001, most=1e5),
        Question("load_2_V", "Voltage on it", "reading", _LOAD_HELP, unit="V", known="load_2_ohm",
                 least=0.001, most=1000),
        Question("load_3_ohm", "Third known resistor, smaller again", "quantity",
                 "Needed where the second one shows a limit: it tells constant current from "
                 "fold-back.", unit="ohm", known="load_2_V", least=0.001, most=1e5),
        Question("load_3_V", "Voltage on it", "reading", _LOAD_HELP, unit="V", known="load_3_ohm",
                 least=0.001, most=1000),
        Question("capacity_Ah", "Capacity", "quantity", "Printed on the battery.", unit="Ah",
                 only_if=("supply", _BATTERY), least=0.001, most=10000),
        Question("charged_V", "Voltage of the charged capacitor", "reading",
                 "At the output without load, if the manual allows it; else from the data sheet.",
                 unit="V", only_if=("supply", _CAPACITOR), least=0.1, most=1000),
        Question("capacitance_F", "Capacitance", "quantity",
                 "Printed on the capacitor, in farads: 4700 µF are 0.0047, mostly ± 20 %.",
                 unit="F", only_if=("supply", _CAPACITOR), least=1e-7, most=10000),
        Question("series_ohm", "Resistance in series with the capacitor", "quantity",
                 "Its own and that of the wiring: data sheet.", unit="ohm",
                 only_if=("supply", _CAPACITOR), most=1000),
        Question("recharge_s", "Time from empty to full", "quantity",
                 "Watch the voltage or the ready lamp after firing into a resistor; use a stop "
                 "watch.", unit="s", only_if=("supply", _CAPACITOR), least=0.001, most=10000),
        Question("standby_A", "Current while the box waits", "number",
                 "With a meter in the battery lead, box on, nothing fired.", unit="A",
                 only_if=("supply", _LOADED), most=1000),
        Question("min_C", "Lowest temperature of use", "number", "Data sheet of the battery.",
                 unit="°C", only_if=("supply", _BATTERY), least=-60, most=80),
        Question("max_C", "Highest temperature of use", "number", "Data sheet of the battery.",
                 unit="°C", only_if=("supply", _BATTERY), least=-60, most=120),
        Question("min_supply_V", "Supply voltage below which the box stops working", "number",
                 "Manual, or from a bench supply turned down slowly.", unit="V", most=1000),
        Question("max_output_A", "Largest current of one output", "number", "Manual.", unit="A",
                 least=0.001, most=10000),
        Question("pulses", "Pulses that can be set", "numbers",
                 "All of them, in seconds: 0.5, 1, 2. For a fixed one just that.", unit="s",
                 least=1e-6, most=3600),
        Question("hold_off_scope", "What is blocked after a cue", "choice",
                 "Bring two cues closer together, with lamps for igniters, until the second one is "
                 "dropped: on the same way, on another way of the output, on another output.",
                 choices=("box", "output", "way")),
        Question("hold_off_s", "For how long, from the end of the pulse", "number",
                 "With some to spare.", unit="s", known="hold_off_scope", most=10000),
        Question("test_current_mA", "Current of the continuity test", "reading",
                 "Into a short circuit: the meter on its current range straight across a terminal, "
                 "with no igniter connected anywhere.", unit="mA", most=10000),
        Question("threshold_ohm", "Resistance above which the test reports an open circuit",
                 "number", "Put resistors on a terminal until the lamp changes.", unit="ohm",
                 least=0.001, most=1e6),
        source_question("box"),
    ),
)  # fmt: skip
