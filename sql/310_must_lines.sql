-- must_lines: one row per thing that went into a batch or that a recipe plans,
-- so that a recipe is described exactly as a batch is. must_id is the batch_id
-- or the recipe's name; day counts from the start; weights in kg, volumes in L.
create table must_lines as
with
batches as (select * from staged_batches),
additions as (select * from staged_additions),
recipes as (select * from staged_recipes),
logged as (
    select
        additions.batch_id as must_id,
        false as is_planned,
        additions.line,
        date_diff('second', batches.started_on::timestamp, additions.added_at)
        / 86400.0 as day,
        additions.kind,
        additions.ingredient,
        additions.ingredient_key,
        additions.amount_kg,
        additions.amount_l,
        additions.amount_error,
        additions.is_to_mark,
        additions.form,
        additions.is_frozen,
        additions.skins,
        additions.ripeness,
        date_diff('day', batches.started_on, additions.removed_on)::double
            as removed_day,
        additions.cost
    from additions
    inner join batches on additions.batch_id = batches.batch_id
),
planned as (
    select
        recipe as must_id,
        true as is_planned,
        line,
        day,
        kind,
        ingredient,
        ingredient_key,
        amount_kg,
        amount_l,
        amount_error,
        is_to_mark,
        form,
        is_frozen,
        skins,
        ripeness,
        removed_day,
        cost
    from recipes
),
both_kinds as (
    select * from logged
    union all
    select * from planned
)
select
    *,
    coalesce(ingredient_key, ingredient) as ingredient_name,
    amount_kg is null and amount_l is null as is_weight_unknown
from both_kinds;
