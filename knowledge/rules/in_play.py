"""Which sources, checks and signs are in play for this machine, setup and bench."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH
from askew.knowledge.facts import Idle, Lacks, Refused, Requirement, Without
from askew.knowledge.rules.book import JUDGEMENT, PRACTICE, Theme, conclude

THEME = Theme("in play", stage="in_play")

THEME.rule(
    "source_not_here",
    Requirement(subject=MATCH.subject, kind="source", key=MATCH.key, value=MATCH.value, met="no"),
    then=conclude("out", "?subject"),
    because="{subject:name} is out of play here: {key:name} is {value:name}.",
    basis=PRACTICE,
)
THEME.rule(
    "check_not_here",
    Requirement(subject=MATCH.subject, kind="check", key=MATCH.key, value=MATCH.value, met="no"),
    then=conclude("out", "?subject"),
    because='There is no point in "{subject:name}": {key:name} is {value:name}.',
    basis=PRACTICE,
)
THEME.rule(
    "check_needs_telling",
    Requirement(subject=MATCH.subject, kind="check", key=MATCH.key, met="unknown"),
    then=conclude("out", "?subject"),
    because='Before "{subject:name}" it has to be said: {key:name}.',
    basis=JUDGEMENT,
)
THEME.rule(
    "check_comes_later",
    Requirement(subject=MATCH.subject, kind="check", key=MATCH.key, met="later"),
    then=conclude("out", "?subject"),
    because='Before "{subject:name}" there must be something to hold it against: {key:name}.',
    basis=PRACTICE,
)
THEME.rule(
    "no_instrument",
    Lacks(check=MATCH.check, missing=MATCH.missing, has_trick=False),
    then=conclude("out", "?check"),
    because='There is no {missing:name} on the bench for "{check:name}".',
    basis=JUDGEMENT,
)
THEME.rule(
    "no_instrument_but_trick",
    Lacks(check=MATCH.check, missing=MATCH.missing, instead=MATCH.instead, has_trick=True),
    then=conclude("out", "?check"),
    because='There is no {missing:name} on the bench for "{check:name}"; "{instead:name}" serves instead.',
    basis=PRACTICE,
)
THEME.rule(
    "refused",
    Refused(check=MATCH.check),
    then=conclude("out", "?check"),
    because="You said that it cannot be done here: {check:name}.",
    basis=JUDGEMENT,
)
THEME.rule(
    "machine_without",
    Without(subject=MATCH.subject, machine=MATCH.machine),
    then=conclude("out", "?subject"),
    because="On a {machine:name} there is no such thing: {subject:name}.",
    basis=PRACTICE,
)
THEME.rule(
    "sign_means_nothing",
    Idle(sign=MATCH.sign, key=MATCH.key, value=MATCH.value),
    then=conclude("out", "?sign"),
    because="It means nothing here that {sign:name}: {key:name} is {value:name}.",
    basis=PRACTICE,
)
