"""The forward model: what each reading should be, given the sources of error and the setup."""
