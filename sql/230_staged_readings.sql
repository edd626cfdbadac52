-- staged_readings: one row per loaded row of readings.csv. gravity_read is SG
-- 20/20 as the instrument showed it, gravity the same corrected for the sample's
-- temperature and the instrument; a refractometer gives refractometer_brix and
-- no gravity here, because whether it is one depends on the fermentation. A view,
-- gone when the cellar is built: only readings looks at it, once, and there are
-- millions of them.
create temp view staged_readings as
with
readings as (select * from logbook_readings)
select
    -- keys
    readings.batch_id,
    readings.line,
    -- text
    coalesce(readings.instrument, 'hydrometer') as instrument,
    readings.ta_as,
    readings.notes,
    -- dates
    readings.taken_at,
    readings.taken_on,
    -- numbers
    readings.shown_sg as gravity_read,
    case
        when readings.instrument is distinct from 'refractometer'
            then readings.corrected_sg
    end as gravity,
    case
        when readings.instrument is distinct from 'refractometer' then null
        when readings.gravity_brix is not null then readings.gravity_brix
        else brix_from_gravity(readings.gravity_sg)
    end as refractometer_brix,
    readings.temperature_c,
    readings.must_temperature_c,
    readings.ph,
    readings.ta_g_l * tartaric_per_gram.factor as ta_tartaric_g_l,
    readings.free_so2_mg_l,
    readings.volume_l
from readings
left join reference_acids as tartaric_per_gram
    on coalesce(readings.ta_as, 'tartaric') = tartaric_per_gram.acid;
