-- staged_tastings: one row per loaded row of tastings.csv, that is per glass.
create table staged_tastings as
select
    -- keys
    batch_id,
    line,
    -- text
    taster,
    faults,
    notes,
    -- dates
    tasted_on,
    -- flags
    is_blind,
    -- numbers
    sweetened_to_g_l,
    sweetness,
    sourness,
    astringency,
    bitterness,
    warmth,
    body,
    fruit,
    (astringency + bitterness + warmth) / 3 as harshness,
    score
from logbook_tastings;
