"""From shop talk to observations: `read` is the only door."""

from askew.engine.language.model import Ambiguity, Context, Heard
from askew.engine.language.reader import read

__all__ = ["Ambiguity", "Context", "Heard", "read"]
