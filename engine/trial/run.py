"""Many shops: in parallel, seeded, resumable, on this machine or on a Dask scheduler."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar

from askew.engine.trial.aftercut import Followed, follow
from askew.engine.trial.play import Played, play
from askew.engine.trial.policies import OURS, RIVALS

Progress = Callable[[int, int], None]


class Shop(Protocol):
    """What came of a shop, however it was played."""

    seed: int
    policy: str

    def row(self) -> dict[str, Any]:
        """Return it as a JSON object, from whose fields it can be made again."""


S = TypeVar("S", bound=Shop)


@dataclass(frozen=True)
class Game(Generic[S]):
    """How a shop is played.

    Attributes:
        play: Plays the shop of a seed with a policy.
        made: Makes what came of it from the fields of its row.
    """

    play: Callable[[int, str], S]
    made: Callable[..., S]


TO_VERDICT = Game(play, Played)
"""From the first sentence to the verdict."""
CUT_AGAIN = Game(follow, Followed)
"""On to the cut that follows the advice."""


class TrialError(ValueError):
    """The trial cannot be run as asked; the message is for the person."""


def run(
    game: Game[S],
    seeds: Sequence[int],
    policies: Sequence[str] = (OURS,),
    jobs: int = 1,
    keep: Path | None = None,
    scheduler: str | None = None,
    progress: Progress | None = None,
) -> list[S]:
    """Play shops, each with every policy, and return what came of them in order.

    Args:
        game: How a shop is played.
        seeds: The shops.
        policies: Who chooses the checks: "askew" or a rival.
        jobs: Processes on this machine.
        keep: File of finished shops, one JSON object a line: those in it are not played again.
        scheduler: Address of a Dask scheduler to play them on instead.
        progress: Called with how many are finished and how many there are.

    Raises:
        TrialError: An unknown policy, a damaged file, or no cluster packages.
    """
    unknown = [p for p in policies if p != OURS and p not in RIVALS]
    if unknown:
        raise TrialError(
            f"No order of checks is called {unknown[0]!r}; there are {', '.join((OURS, *RIVALS))}."
        )
    done = {(p.seed, p.policy): p for p in kept(keep, game)} if keep is not None else {}
    wanted = [(seed, policy) for policy in policies for seed in seeds]
    left = [pair for pair in wanted if pair not in done]
    if progress is not None:
        progress(len(wanted) - len(left), len(wanted))
    with _backend(scheduler):
        for played in _play(game, left, jobs if scheduler is None else -1):
            done[played.seed, played.policy] = played
            if keep is not None:
                with keep.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(played.row()) + "\n")
            if progress is not None:
                progress(sum(pair in done for pair in wanted), len(wanted))
    return [done[pair] for pair in wanted]


def kept(path: Path, game: Game[S]) -> list[S]:
    """Return the shops of a file; a line cut short by an interruption is played again.

    Raises:
        TrialError: A line in the middle is not a finished shop.
    """
    if not path.exists():
        return []
    lines = path.read_text(encoding="utf-8").splitlines()
    found = []
    for number, line in enumerate(lines, 1):
        try:
            found.append(game.made(**json.loads(line)))
        except (ValueError, TypeError) as error:
            if number == len(lines):
                path.write_text("".join(f"{one}\n" for one in lines[:-1]), encoding="utf-8")
                break
            raise TrialError(
                f"Line {number} of {path.name} is not a finished shop; name another file."
            ) from error
    return found


def _play(game: Game[S], pairs: Iterable[tuple[int, str]], jobs: int) -> Iterator[S]:
    from joblib import Parallel, delayed  # noqa: PLC0415  slow to import, and only a trial needs it

    found: Any = Parallel(n_jobs=jobs, return_as="generator_unordered")(
        delayed(game.play)(*pair) for pair in pairs
    )
    yield from found


@contextmanager
def _backend(scheduler: str | None) -> Iterator[None]:
    if scheduler is None:
        yield
        return
    try:
        from dask.distributed import Client  # noqa: PLC0415  an extra, and slow to import
    except ImportError as error:
        raise TrialError("A cluster needs the extra `cluster`: pip install 'askew[cluster]'.") from error
    from joblib import parallel_config  # noqa: PLC0415

    try:
        connect: Any = Client
        client = connect(scheduler, timeout=10)
    except (OSError, ValueError) as error:
        raise TrialError(
            f"No scheduler answers at {scheduler[:80]}; an address looks like tcp://host:8786."
        ) from error
    with client, parallel_config(backend="dask"):
        yield
