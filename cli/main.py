"""The door of the command line: from arguments to an exit status, and from every error to a sentence."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from askew.cli.exits import INTERRUPTED, READER_GONE, USAGE, Refusal
from askew.cli.parser import build
from askew.cli.registry import COMMANDS
from askew.cli.view import view_from


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program and return its exit status; no traceback reaches a person."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        return _run(words)
    except Refusal as refusal:
        _complain(str(refusal))
        return refusal.status
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # Python would complain once more when it flushes on the way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_GONE
    except Exception as error:
        if os.environ.get("ASKEW_TRACEBACK"):
            raise
        _complain(
            f"This is a fault of askew, not yours: {type(error).__name__}: {error}. "
            "Everything acknowledged so far is kept. Set ASKEW_TRACEBACK=1 to see where it happened."
        )
        return 1


def _run(words: list[str]) -> int:
    parser = build([word for word in words if word in COMMANDS])
    args = parser.parse_args(words)
    if args.demo:
        if args.command is not None:
            raise Refusal("--demo goes alone, without a command.", USAGE)
        from askew.cli.demo import play

        return play(view_from(args))
    name = args.command or "talk"
    if args.on_machine is not None and name != "talk":
        raise Refusal("--machine goes with the talk: askew --machine NAME, or askew talk --machine NAME.", USAGE)
    if args.command is None:
        args = build(["talk"]).parse_args([*words, "talk"])
    return COMMANDS[name].load().run(args)


def _complain(sentence: str) -> None:
    from askew.engine.safe import safe

    print(f"askew: {safe(sentence)}", file=sys.stderr)  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
