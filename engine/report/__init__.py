"""The report of a case: one self-contained file, HTML or Markdown."""
