-- dated_readings: one row per reading, dated from the batch's start, with the
-- gravity that can be used as it stands: a refractometer shows one only before
-- fermentation. A view, gone when the cellar is built: only readings looks at
-- it, once for the first gravities and once for every row, and each time works
-- out no more than it needs of millions of rows.
create temp view dated_readings as
with
readings as (select * from staged_readings),
starts as (
    select batches.batch_id, batches.started_on, must_days.yeast_day
    from staged_batches as batches
    inner join must_days
        on batches.batch_id = must_days.must_id
        and not must_days.is_planned
),
dated as (
    select
        readings.*,
        date_diff('second', starts.started_on::timestamp, readings.taken_at)
        / 86400.0 as day,
        starts.yeast_day
    from readings
    inner join starts on readings.batch_id = starts.batch_id
),
staged as (
    select
        *,
        -- The first day after the yeast shows next to no fermentation yet.
        floor(day) > coalesce(floor(yeast_day), 1) + 1 as is_after_yeast
    from dated
)
select
    *,
    coalesce(
        gravity,
        case
            when not is_after_yeast and refractometer_brix is not null
                then gravity_from_refractometer(refractometer_brix)
        end
    ) as usable_gravity
from staged;
