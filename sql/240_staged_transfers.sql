-- staged_transfers: one row per loaded row of transfers.csv; volumes in L. A
-- bottling given as a number of bottles becomes a volume by the bottle's size.
create table staged_transfers as
with
transfers as (select * from logbook_transfers),
settings as (select * from logbook_settings)
select
    -- keys
    transfers.batch_id,
    transfers.line,
    -- text
    transfers.step,
    transfers.pressed,
    transfers.topped_up_with,
    transfers.notes,
    -- dates
    transfers.moved_at,
    transfers.moved_on,
    -- numbers
    coalesce(
        transfers.volume_after_l,
        case
            when transfers.step = 'bottle'
                then transfers.bottles * settings.bottle_l
        end
    ) as volume_after_l,
    coalesce(transfers.volume_after_error, 0) as volume_after_error,
    transfers.topped_up_l,
    coalesce(
        transfers.bottles,
        case
            when transfers.step = 'bottle'
                then transfers.volume_after_l / settings.bottle_l
        end
    ) as bottles
from transfers
cross join settings;
