"""Small logbooks of batches that are as usual but for what is said of them."""

from pathlib import Path

HEADINGS = {
    "batches": "batch_id,started_on,recipe,yeast,target_volume",
    "additions": "batch_id,added_on,kind,ingredient,amount,form,skins,removed_on,cost",
    "readings": "batch_id,taken_on,gravity,ph,ta",
    "transfers": "batch_id,moved_on,step,volume_after",
    "tastings": "batch_id,tasted_on,taster,sweetness,sourness,astringency,bitterness,warmth,body,"
    "fruit,score",
    "recipes": "recipe,day,kind,ingredient,amount,form,skins,removed_day,yeast,target_volume",
}
PLAN = """plan,0,fruit,plum,2 kg,crushed,on,7,Lantern,4.5 L
plan,0,sugar,white sugar,1 kg,,,,,
plan,0,water,water,to 4.5 L,,,,,
"""

Batch = dict[str, object]
USUAL: Batch = {
    "fruit": "plum",
    "kg": 2.0,
    "sugar": 1.0,
    "yeast": "Lantern",
    "og": 1.085,
    "fg": 0.996,
    "bottled": 4.2,
    "taste": (3, 3, 3, 3, 3, 3, 3, 10),
}


def written(folder: Path, batches: list[Batch], without: tuple[str, ...] = ()) -> Path:
    """Write a logbook of batches that are as usual but for what they say."""
    rows: dict[str, list[str]] = {name: [] for name in HEADINGS}
    for at, said in enumerate(batches):
        b, name, day = USUAL | said, f"B{at}", f"2024-{at % 12 + 1:02d}"
        rows["batches"].append(f"{name},{day}-01,r{at % 7},{b['yeast']},4.5 L")
        rows["additions"] += [
            f"{name},{day}-01,fruit,{b['fruit']},{b['kg']} kg,crushed,on,{day}-08,2",
            f"{name},{day}-01,sugar,white sugar,{b['sugar']} kg,,,,1",
            f"{name},{day}-01,water,water,to 4.5 L,,,,",
        ]
        rows["readings"] += [f"{name},{day}-01,{b['og']},3.4,6", f"{name},2025-01-20,{b['fg']},,"]
        rows["transfers"].append(f"{name},2025-03-01,bottle,{b['bottled']} L")
        marks = ",".join(map(str, b["taste"]))  # type: ignore[call-overload]
        rows["tastings"] += [f"{name},2025-06-01,{taster},{marks}" for taster in "XY"]
    folder.mkdir()
    for name, heading in HEADINGS.items():
        text = PLAN if name == "recipes" else "".join(f"{row}\n" for row in rows[name])
        kept = "" if name in without else text
        (folder / f"{name}.csv").write_text(f"{heading}\n{kept}", encoding="utf-8")
    return folder


def together(at: int) -> Batch:
    """Fruit, its weight, sugar and yeast all change together."""
    one = at % 2
    return {
        "fruit": ("plum", "damson")[one],
        "kg": 1 + one,
        "sugar": 1 + one / 5,
        "yeast": ("Lantern", "Millrace")[one],
        "og": 1.08 + one / 100 + at / 5000,
        "fg": 0.994 + at / 5000,
        "bottled": 4 + at / 50,
        "taste": (3, 4, at % 5, at % 3, at % 4, 5, 5, 10 + at % 6),
    }
