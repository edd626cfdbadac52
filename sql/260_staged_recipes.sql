-- staged_recipes: one row per loaded row of recipes.csv; day 0 is the start.
create table staged_recipes as
select
    -- keys
    recipe,
    line,
    -- text
    kind,
    ingredient,
    ingredient_key,
    amount,
    form,
    skins,
    ripeness,
    yeast,
    notes,
    -- days
    day,
    removed_day,
    taste_day,
    -- flags
    coalesce(is_to_mark, false) as is_to_mark,
    coalesce(is_frozen, false) as is_frozen,
    -- numbers
    amount_kg,
    amount_l,
    coalesce(amount_error, 0) as amount_error,
    cost,
    target_volume_l,
    ferment_temperature_c,
    sweeten_to_g_l,
    rackings
from logbook_recipes;
