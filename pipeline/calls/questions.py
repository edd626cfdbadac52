"""Commands that put a question to every batch of a logbook."""

from pipeline.calls.shape import EXPLAIN, LOGBOOK, Command, argument

COMMANDS: tuple[Command, ...] = (
    Command(
        "fit",
        "fit the models and say how well each predicts batches it has not seen",
        "fit my-logbook",
        (LOGBOOK, EXPLAIN),
        "pipeline.commands:fit",
        "pipeline.show.text_models:fit",
    ),
    Command(
        "volume",
        "which fruit loads fill the vessel: finished volume against fruit load, per fruit",
        "volume my-logbook --fruit damson",
        (LOGBOOK, argument("--fruit", help="only this fruit"), EXPLAIN),
        "pipeline.commands:volume",
        "pipeline.show.text_models:volume",
    ),
    Command(
        "yeasts",
        "finished gravity and attenuation across yeasts, like for like",
        "yeasts my-logbook",
        (LOGBOOK, EXPLAIN),
        "pipeline.commands:yeasts",
        "pipeline.show.text_models:yeasts",
    ),
    Command(
        "harsh",
        "what goes with harsh glasses; with BATCH, why this one is",
        "harsh my-logbook 2025-09",
        (LOGBOOK, argument("batch", metavar="BATCH", nargs="?", help="one batch's id"), EXPLAIN),
        "pipeline.commands:harsh",
        "pipeline.show.text_models:harsh",
    ),
)
