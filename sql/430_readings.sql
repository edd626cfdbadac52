-- readings: one row per reading, dated from the batch's start. gravity is SG
-- 20/20 corrected for temperature and instrument, and null where the reading is
-- not a gravity: a refractometer shows one only before fermentation; after it
-- gravity_estimated gives what the original gravity lets one work out.
create table readings as
with
readings as (select * from staged_readings),
batches as (select * from staged_batches),
must_days as (select * from must_days where not is_planned),
dated as (
    select
        readings.*,
        date_diff('second', batches.started_on::timestamp, readings.taken_at)
        / 86400.0 as day,
        must_days.yeast_day
    from readings
    inner join batches on readings.batch_id = batches.batch_id
    inner join must_days on readings.batch_id = must_days.must_id
),
staged as (
    select
        *,
        -- The first day after the yeast shows next to no fermentation yet.
        floor(day) > coalesce(floor(yeast_day), 1) + 1 as is_after_yeast
    from dated
),
as_gravity as (
    select
        *,
        coalesce(
            gravity,
            case
                when not is_after_yeast and refractometer_brix is not null
                    then gravity_from_refractometer(refractometer_brix)
            end
        ) as usable_gravity
    from staged
),
originals as (
    select
        batch_id,
        arg_min(usable_gravity, (taken_at, line)) as original_gravity,
        arg_min(line, (taken_at, line)) as original_line
    from as_gravity
    where usable_gravity is not null and not is_after_yeast
    group by batch_id
)
select
    as_gravity.batch_id,
    as_gravity.line,
    as_gravity.taken_at,
    as_gravity.taken_on,
    as_gravity.day,
    as_gravity.instrument,
    as_gravity.gravity_read,
    as_gravity.usable_gravity as gravity,
    case
        when
            as_gravity.is_after_yeast
            and as_gravity.refractometer_brix is not null
            then gravity_from_fermented_refractometer(
                as_gravity.refractometer_brix, originals.original_gravity
            )
    end as gravity_estimated,
    coalesce(as_gravity.line = originals.original_line, false) as is_original,
    as_gravity.refractometer_brix,
    as_gravity.temperature_c,
    as_gravity.must_temperature_c,
    as_gravity.ph,
    as_gravity.ta_tartaric_g_l,
    as_gravity.free_so2_mg_l,
    as_gravity.volume_l,
    as_gravity.notes
from as_gravity
left join originals on as_gravity.batch_id = originals.batch_id
order by as_gravity.line;
