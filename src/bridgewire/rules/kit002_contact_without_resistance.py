"""The resistance of a contact is not known.

What it checks
--------------
Every contact that the used boxes, strips, splitters and joints name: that a kit of the show has
it, and that it states contact_ohm.

Why it matters
--------------
A circuit passes some ten contacts from box to igniter and back. At 20 mohm each they cost as much
as 1.2 m of 24 AWG pair, and worn or wet ones several times that. A missing figure makes
everything behind it unknown.

Model and limits
----------------
Contacts that the show does not use are not looked at. A strip or box that names no contact at all
is reported as KIT001.

Example
-------
inlet_contact = "lake-plug" where lake-plug has a rated_A but no contact_ohm.

Do instead
----------
State the resistance of one mated pair with its tolerance. Measure ten pairs in series with a
known current, and old ones too.

Settings
--------
None.

References
----------
IEC 60603-7 for data plugs, 20 mohm at first (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import contact_keys, used_contacts, used_items

RULE = Rule("KIT002", "contact-without-resistance", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each contact without a resistance, and each that no kit has."""
    for contact in used_contacts(context):
        if contact.entry.contact_ohm is None:
            yield RULE.finding(
                f"{contact.label} does not state contact_ohm, so no circuit through it can be "
                "computed",
                contact.path,
                document=contact.document,
                subjects=(contact.full_id,),
                remedy="measure ten mated pairs in series with a known current, old ones too, and "
                "state contact_ohm of one pair with its tolerance and source",
            )
    for item in used_items(context):
        for key, ref in contact_keys(item):
            if context.catalogue.contact_of(item.full_id, ref)[1] is None:
                yield RULE.finding(
                    f"{item.label} names the contact {ref!r}, which no kit of the show has",
                    item.at(key),
                    document=item.document,
                    subjects=(item.full_id, ref),
                    remedy=f"add a contact {ref!r} with its contact_ohm to the profile, or correct "
                    "the name",
                    suggestion=context.catalogue.contacts.suggestion(ref),
                )
