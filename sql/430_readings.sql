-- readings: one row per reading, dated from the batch's start. gravity is SG
-- 20/20 corrected for temperature and instrument, and null where the reading is
-- not a gravity: a refractometer shows one only before fermentation; after it
-- gravity_estimated gives what the original gravity lets one work out.
create table readings as
with
originals as (
    select
        batch_id,
        arg_min(usable_gravity, (taken_at, line)) as original_gravity,
        arg_min(line, (taken_at, line)) as original_line
    from dated_readings
    where usable_gravity is not null and not is_after_yeast
    group by batch_id
)
select
    dated.batch_id,
    dated.line,
    dated.taken_at,
    dated.taken_on,
    dated.day,
    dated.instrument,
    dated.gravity_read,
    dated.usable_gravity as gravity,
    case
        when dated.is_after_yeast and dated.refractometer_brix is not null
            then gravity_from_fermented_refractometer(
                dated.refractometer_brix, originals.original_gravity
            )
    end as gravity_estimated,
    coalesce(dated.line = originals.original_line, false) as is_original,
    dated.refractometer_brix,
    dated.temperature_c,
    dated.must_temperature_c,
    dated.ph,
    dated.ta_tartaric_g_l,
    dated.free_so2_mg_l,
    dated.volume_l,
    dated.notes
from dated_readings as dated
left join originals on dated.batch_id = originals.batch_id;
