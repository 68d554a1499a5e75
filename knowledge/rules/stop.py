"""When to stop checking."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, NOT, at_least, below
from askew.knowledge.facts import Course
from askew.knowledge.rules.book import JUDGEMENT, Theme, conclude

THEME = Theme("when to stop")

NOTHING_SAVED = below(1e-9, "worth")

THEME.rule(
    "settled",
    Course(decided=at_least(0.9, "decided"), worth=NOTHING_SAVED),
    then=conclude("stop", "verdict"),
    because="No check left would change what to do: it is {decided:percent} sure as it stands.",
    basis=JUDGEMENT,
)
THEME.rule(
    "not_worth_it",
    Course(decided=below(0.9, "decided"), worth=below(1e-9)),
    then=conclude("stop", "verdict"),
    because="It is only {decided:percent} sure, but no check left is worth its minutes: trying the "
    "remedy tells more.",
    basis=JUDGEMENT,
)
THEME.rule(
    "nothing_left",
    Course(best="", decided=MATCH.decided),
    then=conclude("stop", "verdict"),
    because="There is no check left to make on this bench. It is {decided:percent} sure as it stands.",
    basis=JUDGEMENT,
)
THEME.rule(
    "worth_checking",
    Course(best=MATCH.best, worth=at_least(1e-9, "worth")),
    then=conclude("hold", "verdict"),
    because='"{best:name}" is worth its minutes: it is expected to save {worth:minutes}.',
    basis=JUDGEMENT,
)
THEME.rule(
    "number_missing",
    Course(number="missing"),
    NOT(Course(best="")),
    then=conclude("hold", "verdict"),
    because="How far it is out has not been said yet, and the size is what clears most causes.",
    basis=JUDGEMENT,
)
THEME.rule(
    "part_unexplained",
    Course(explained=below(0.6, "explained"), decided=at_least(0.9)),
    then=conclude("note", "unlisted"),
    because="Only {explained:percent} of it is explained by anything on the list; the rest nobody explains.",
    basis=JUDGEMENT,
)
