"""What a logbook teaches: volume, gravity and taste models, how sure they are, and why."""

from pipeline.learning.models import Models, fit_models

__all__ = ["Models", "fit_models"]
