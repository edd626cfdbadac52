-- fermentations: one row per batch: how far it went. original_gravity is read,
-- not worked out. equivalent_gravity is the original gravity of the must that
-- would have held all the sugar fed later and all the water topped up with
-- before the last gravity was read; alcohol is reckoned from it (a ledger), and
-- diluted by what was topped up after. A gravity above 1.000 that has not moved
-- for a week of readings is stuck and is no finished gravity, also where the
-- maker then stabilised it and let it be sweet.
create table fermentations as
with
batches as (select * from staged_batches),
must_days as (select * from must_days where not is_planned),
changes as (select * from liquid_changes),
bottlings as (
    select batch_id, min(day) as bottle_day
    from steps
    where step = 'bottle'
    group by batch_id
),
stabilisings as (
    select must_id as batch_id, min(day) as sorbate_day
    from must_lines
    where kind = 'sorbate' and not is_planned
    group by must_id
),
originals as (
    select batch_id, gravity as original_gravity
    from readings
    where is_original
),
-- What is read after stabilising is sweetened wine, not the ferment's end. Kept
-- between two looks at it, so without what neither needs: it may be millions.
fermenting as (
    select
        readings.batch_id,
        readings.line,
        readings.day,
        readings.gravity,
        readings.is_original
    from readings
    left join stabilisings on readings.batch_id = stabilisings.batch_id
    where
        readings.gravity is not null
        and (
            stabilisings.sorbate_day is null
            or readings.day <= stabilisings.sorbate_day
        )
),
lasts as (
    select
        batch_id,
        -- Of two readings of one moment the first in the file.
        arg_max(gravity, (day, -line)) as last_gravity,
        max(day) as last_day,
        count(*) as gravities
    from fermenting
    group by batch_id
),
weeks_before as (
    select
        fermenting.batch_id,
        arg_max(fermenting.gravity, (fermenting.day, -fermenting.line))
            as gravity_week_before
    from fermenting
    inner join lasts on fermenting.batch_id = lasts.batch_id
    where fermenting.day <= lasts.last_day - 7 and not fermenting.is_original
    group by fermenting.batch_id
),
judged as (
    select
        batches.batch_id,
        batches.status,
        originals.original_gravity,
        lasts.last_gravity,
        lasts.last_day,
        lasts.gravities,
        bottlings.bottle_day,
        coalesce(
            lasts.last_gravity > 1.0005
            and abs(lasts.last_gravity - weeks_before.gravity_week_before)
            <= 0.001,
            false
        ) as is_stuck,
        stabilisings.sorbate_day is not null as is_stabilised,
        lasts.last_day
        - coalesce(floor(must_days.yeast_day), 0) as days_fermented
    from batches
    inner join must_days on batches.batch_id = must_days.must_id
    left join originals on batches.batch_id = originals.batch_id
    left join lasts on batches.batch_id = lasts.batch_id
    left join weeks_before on batches.batch_id = weeks_before.batch_id
    left join bottlings on batches.batch_id = bottlings.batch_id
    left join stabilisings on batches.batch_id = stabilisings.batch_id
),
finished as (
    select
        *,
        not is_stuck and case
            when last_gravity <= 1.0005
                then days_fermented >= 10 or bottle_day is not null
            else days_fermented >= 14 and (
                bottle_day is not null or status in ('ageing', 'bottled')
            )
        end as is_finished
    from judged
),
ledger as (
    select
        finished.batch_id,
        list(changes.before_l order by changes.change_number) filter (
            where changes.day is null or changes.day < finished.last_day
        ) as before_l,
        list(changes.sugar_kg order by changes.change_number) filter (
            where changes.day is null or changes.day < finished.last_day
        ) as sugar_kg,
        list(changes.added_l order by changes.change_number) filter (
            where changes.day is null or changes.day < finished.last_day
        ) as added_l,
        list(changes.before_l order by changes.change_number) filter (
            where changes.day >= finished.last_day
        ) as later_before_l,
        list(changes.added_l + changes.sugar_l order by changes.change_number)
            filter (where changes.day >= finished.last_day) as later_added_l
    from finished
    inner join changes on finished.batch_id = changes.batch_id
    group by finished.batch_id
),
reckoned as (
    select
        finished.*,
        equivalent_gravity(
            finished.original_gravity,
            ledger.before_l, ledger.sugar_kg, ledger.added_l
        ) as equivalent_gravity,
        undiluted_share(ledger.later_before_l, ledger.later_added_l)
            as undiluted_share
    from finished
    left join ledger on finished.batch_id = ledger.batch_id
),
measured as (
    select
        *,
        case
            when last_gravity < equivalent_gravity
                then alcohol_from_gravities(equivalent_gravity, last_gravity)
        end as alcohol_before_topping
    from reckoned
)
select
    batch_id,
    original_gravity,
    equivalent_gravity,
    last_gravity,
    last_day,
    gravities,
    is_stuck,
    is_stabilised,
    case when is_finished then last_gravity end as final_gravity,
    case when is_stuck then last_gravity end as stuck_gravity,
    apparent_attenuation(equivalent_gravity, last_gravity)
        as apparent_attenuation,
    real_attenuation(equivalent_gravity, last_gravity) as real_attenuation,
    alcohol_before_topping,
    alcohol_before_topping * undiluted_share as alcohol,
    undiluted_share,
    dry_extract(last_gravity, alcohol_before_topping) * undiluted_share
        as dry_extract_g_l,
    residual_sugar(last_gravity, alcohol_before_topping) * undiluted_share
        as residual_sugar_g_l
from measured;
