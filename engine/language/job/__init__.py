"""Facts of the job: sizes, cutter, passes, grip, material, what is on hand."""
