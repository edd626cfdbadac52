"""Commands about one recipe, or one batch, at a time."""

from pipeline.calls.shape import EXPLAIN, LOGBOOK, Command, argument, path

COMMANDS: tuple[Command, ...] = (
    Command(
        "compare",
        "recipes or batches side by side: what went in, what came out, what differs",
        "compare my-logbook 'damson dry' 'damson soft'",
        (
            LOGBOOK,
            argument("names", metavar="A", nargs="+", help="two or more recipes or batches"),
            EXPLAIN,
        ),
        "pipeline.commands:compare",
        "pipeline.show.text_advice:compare",
    ),
    Command(
        "predict",
        "what a planned recipe of recipes.csv will give",
        "predict my-logbook 'damson soft' --fill 80 --keep strength",
        (
            LOGBOOK,
            argument("recipes", metavar="RECIPE", nargs="+", help="recipes in recipes.csv"),
            argument(
                "--fill",
                metavar="CHANCE",
                nargs="?",
                const="80",
                help="say too how much to pour so that the finished wine reaches the volume aimed "
                "at with this chance, in %% (default: 80)",
            ),
            argument(
                "--keep",
                metavar="WHAT",
                help="what --fill keeps: strength (the fruit and the strength; water and sugar "
                "change: the default), fruit (fruit and sugar; only water changes), or "
                "proportions (all to each litre; everything grows)",
            ),
            EXPLAIN,
        ),
        "pipeline.commands:predict",
        "pipeline.show.text_advice:predict",
    ),
    Command(
        "suggest",
        "adjustments to a planned recipe, each with its expected effect",
        "suggest my-logbook 'damson soft' --strength 11-13 --keep yeast skins",
        (
            LOGBOOK,
            argument("recipe", metavar="RECIPE", help="a recipe in recipes.csv"),
            argument(
                "--strength",
                metavar="LOW-HIGH",
                help="strength wanted, such as 11-13 (default: within 1 % of the recipe's own)",
            ),
            argument(
                "--cost-per-bottle",
                metavar="MOST",
                help="the most a bottle may cost, in the logbook's currency (default: any)",
            ),
            argument(
                "--full",
                metavar="PERCENT",
                help="share of the volume aimed at that must be finished "
                "(default: 95, or what the recipe gives where that is less)",
            ),
            argument(
                "--keep",
                metavar="THING",
                nargs="+",
                help="what is not to be changed: fruit, sugar, water, skins, form, days, yeast, "
                "sweetness, temperature, acid, tannin, nutrient, enzyme",
            ),
            EXPLAIN,
        ),
        "pipeline.commands:suggest",
        "pipeline.show.text_advice:suggest",
    ),
    Command(
        "trial",
        "the split batch that would teach most about a recipe, and what earlier ones settled",
        "trial my-logbook 'damson soft' --tasters 4",
        (
            LOGBOOK,
            argument("recipe", metavar="RECIPE", help="a recipe in recipes.csv"),
            argument("--tasters", type=int, help="who will taste (default: all of the logbook)"),
            argument("--pair", metavar="BATCH", nargs=2, help="two batches that were the two arms"),
            argument("--seed", type=int, default=1, help="another number, another order"),
            EXPLAIN,
        ),
        "pipeline.commands_bench:trial",
        "pipeline.show.text_trial:trial",
    ),
    Command(
        "bench",
        "doses for a finished wine: sweeten, stabilise, acid, blend, from its own readings",
        "bench my-logbook 2025-09 --sweeten-to '20 g/L'",
        (
            LOGBOOK,
            argument("batch", metavar="BATCH", help="the batch's id"),
            argument("--sweeten-to", metavar="SUGAR", help="sugar wanted, such as '20 g/L'"),
            argument("--gravity", help="gravity wanted, such as 1.010"),
            argument("--acidity", help="acidity wanted as tartaric, such as '6 g/L'"),
            argument("--alcohol", metavar="STRENGTH", help="strength wanted, such as 12"),
            argument("--blend", metavar="BATCH", nargs="+", help="batches to blend it with"),
            argument("--volume", help="how much there is; of a blend, how much is wanted"),
            argument("--titrated", metavar="ML", help="hydroxide just used up, such as '12 mL'"),
            argument("--normality", help="its normality, such as 0.1"),
            argument("--sample", metavar="ML", help="wine it was used on, such as '15 mL'"),
            EXPLAIN,
        ),
        "pipeline.commands_bench:bench",
        "pipeline.show.text_bench:bench",
    ),
    Command(
        "sheet",
        "write out a recipe for the kitchen: scaled, with its vessel and a dated plan of steps",
        "sheet my-logbook 'damson soft' --volume '2 gal' --calendar damson.ics",
        (
            LOGBOOK,
            argument("recipe", metavar="RECIPE", help="a recipe in recipes.csv"),
            argument("--volume", help="finished volume wanted, such as '2 gal'"),
            argument("--start", metavar="DATE", help="day it is put together (default: today)"),
            argument("--calendar", metavar="FILE.ics", type=path, help="write the plan there"),
            argument("--page", metavar="FILE.html", type=path, help="write a page to print there"),
            EXPLAIN,
        ),
        "pipeline.commands_bench:sheet",
        "pipeline.show.text_sheet:sheet",
    ),
    Command(
        "tasting",
        "a blind tasting of two wines: serving order, how many right answers count, the verdict",
        "tasting my-logbook 2025-09 2025-10 --test triangle --tasters 12",
        (
            LOGBOOK,
            argument("first", metavar="A", help="one batch"),
            argument("second", metavar="B", help="another batch"),
            argument(
                "--test",
                choices=("triangle", "paired", "preference"),
                default="triangle",
                help="odd one out, which is more so, or which is liked (default: triangle)",
            ),
            argument("--tasters", type=int, default=12, help="answers to be had (default: 12)"),
            argument("--hits", type=int, help="right answers, or votes for A, once it is held"),
            argument("--seed", type=int, default=1, help="another number, another order"),
            EXPLAIN,
        ),
        "pipeline.commands_bench:tasting",
        "pipeline.show.text_tasting:tasting",
    ),
)
