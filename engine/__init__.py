"""Everything that is computed. Knows no terminal."""

import os

# The matrices are small: threads of the linear algebra library wait for each other longer than they
# compute, five times longer on a busy machine. It is read once, when numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
