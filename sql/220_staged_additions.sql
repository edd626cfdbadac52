-- staged_additions: one row per loaded row of additions.csv; weights in kg,
-- volumes in L, amount_error the relative half-width of the amount.
create table staged_additions as
select
    -- keys
    batch_id,
    line,
    -- text
    kind,
    ingredient,
    ingredient_key,
    form,
    skins,
    ripeness,
    notes,
    -- dates
    added_at,
    added_on,
    removed_on,
    -- flags
    coalesce(is_to_mark, false) as is_to_mark,
    coalesce(is_frozen, false) as is_frozen,
    -- numbers
    amount_kg,
    amount_l,
    coalesce(amount_error, 0) as amount_error,
    cost
from logbook_additions;
