"""bookgen: a formula book that is always right. This file holds the version alone."""

__version__ = "0.10.0"
