-- staged_batches: one row per batch whose row in batches.csv was loaded.
create table staged_batches as
select
    -- keys
    batch_id,
    line,
    -- text
    name,
    recipe,
    yeast,
    gallon,
    extraction,
    status,
    notes,
    -- dates
    started_on,
    -- numbers
    target_volume_l
from logbook_batches;
