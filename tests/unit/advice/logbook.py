"""A small logbook with one wine for each thing the bench must do or refuse."""

from datetime import date

from pipeline.cellar import load_cellar

FILES = {
    "logbook.toml": 'gallon = "us"\nshow = "metric"\n[counts]\n"yeast packet" = "5 g"\n',
    "batches.csv": "batch_id,started_on,target_volume,status\n"
    "sweet,2026-01-01,4 L,ageing\n"
    "dry,2026-01-01,4 L,ageing\n"
    "blind,2026-01-01,4 L,ageing\n"
    "working,2026-07-01,4 L,fermenting\n"
    "flat,2026-01-01,4 L,ageing\n"
    "asleep,2026-07-01,4 L,fermenting\n"
    "gone,2026-01-01,4 L,lost\n",
    "additions.csv": "batch_id,added_on,kind,ingredient,amount\n"
    "sweet,2026-01-01,fruit,damson,1.5 kg\n"
    "sweet,2026-01-01,water,water,4 L\n"
    "sweet,2026-01-01,sugar,sugar,1 kg\n"
    "sweet,2026-06-01,sulphite,potassium metabisulphite,0.4 g\n"
    "sweet,2026-02-01,fining,bentonite,2 g\n"
    "dry,2026-01-01,fruit,plum,1.5 kg\n"
    "dry,2026-01-01,water,water,4 L\n"
    "dry,2026-01-01,sugar,sugar,800 g\n"
    "blind,2026-01-01,fruit,plum,1.5 kg\n"
    "working,2026-07-01,fruit,plum,1.5 kg\n"
    "gone,2026-01-01,fruit,plum,1.5 kg\n"
    "flat,2026-01-01,fruit,banana,1.5 kg\n"
    "asleep,2026-07-01,fruit,plum,1.5 kg\n"
    "asleep,2026-07-02,yeast,Wherry,1 packet\n",
    "readings.csv": "batch_id,taken_on,gravity,ph,ta,free_so2\n"
    "sweet,2026-01-01,1.095,,,\n"
    "sweet,2026-04-01,1.005,3.4,7.0,20\n"
    "sweet,2026-05-01,1.005,,,\n"
    "dry,2026-01-01,1.085,,,\n"
    "dry,2026-04-01,0.993,3.6,4.5,\n"
    "working,2026-07-01,1.085,3.5,,\n"
    "flat,2026-04-01,0.995,4.2,,\n"
    "asleep,2026-07-01,1.088,,,\n"
    "asleep,2026-07-06,1.088,,,\n",
    "transfers.csv": "batch_id,moved_on,step,volume_after,topped_up,topped_up_with\n"
    "sweet,2026-02-01,rack,4.2 L,,\n"
    "sweet,2026-04-02,rack,3.8 L,0.2 L,wine\n"
    "dry,2026-04-02,rack,3.5 L,,\n"
    "working,2026-07-05,strain,4.5 L,,\n",
    "tastings.csv": "batch_id,tasted_on,taster,score,faults\n"
    "dry,2026-05-02,Ann,12,sulphury\n"
    "dry,2026-05-02,Bo,14,\n"
    "sweet,2026-05-02,Ann,15,\n"
    "sweet,2026-05-02,Bo,16,\n"
    "flat,2026-05-02,Bo,10,hazy; sulphury\n",
    "recipes.csv": "recipe,day,kind,ingredient,amount,form,removed_day,yeast,target_volume,"
    "sweeten_to,rackings\n"
    "Plum,0,fruit,plums,2 kg,crushed,7,Wherry,4 L,20,2\n"
    "Plum,0,water,water,3 L,,,,,,\n"
    "Plum,0,sugar,sugar,900 g,,,,,,\n"
    "Plum,0,sulphite,potassium metabisulphite,0.4 g,,,,,,\n"
    "Plum,0,enzyme,pectic enzyme,1/2 tsp,,,,,,\n"
    "Plum,1,yeast,Wherry,1 packet,,,,,,\n"
    "Plum,1,nutrient,diammonium phosphate,2 g,,,,,,\n"
    "Plum,4,sugar,sugar,200 g,,,,,,\n"
    "Bare,0,fruit,elderberries,1 kg,,,,,,\n"
    "Bare,0,water,water,to 4 L,,,,,,\n"
    "Wild,0,fruit,elderflower,100 g,,2,Wherry,4 L,,\n"
    "Wild,0,fruit,rhubarb,1 kg,,,,,,\n"
    "Wild,0,yeast,Wherry,1 packet,,,,,,\n"
    "Wild,0,sulphite,potassium metabisulphite,2 g,,,,,,\n"
    "Wild,3,other,moonstone,1 packet,,,,,,\n"
    "Wild,20,fining,bentonite,3 g,,,,,,\n"
    "Wild,60,sorbate,potassium sorbate,0.5 g,,,,,,\n"
    "Loose,0,fruit,plums,2 kg,,,,,,\n",
}


def build_cellar(folder):
    """Write the logbook and build its cellar."""
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    return load_cellar(folder, today=date(2026, 8, 1))
