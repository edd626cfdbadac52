-- staged_readings: one row per loaded row of readings.csv. gravity_read is SG
-- 20/20 as the instrument showed it, gravity the same corrected for the sample's
-- temperature and the instrument; a refractometer gives refractometer_brix and
-- no gravity here, because whether it is one depends on the fermentation. A view,
-- gone when the cellar is built: only readings looks at it, once, and there are
-- millions of them.
create temp view staged_readings as
with
readings as (select * from logbook_readings),
settings as (select * from logbook_settings),
on_one_scale as (
    select
        readings.*,
        coalesce(readings.instrument, 'hydrometer') as read_with,
        -- Each formula only where its answer is wanted.
        case
            when readings.gravity_sg is not null then readings.gravity_sg
            when readings.gravity_brix is not null
                then gravity_from_brix(readings.gravity_brix)
        end as shown_sg,
        case
            when readings.instrument is distinct from 'refractometer' then null
            when readings.gravity_brix is not null then readings.gravity_brix
            else brix_from_gravity(readings.gravity_sg)
        end as shown_brix
    from readings
)
select
    -- keys
    on_one_scale.batch_id,
    on_one_scale.line,
    -- text
    on_one_scale.read_with as instrument,
    on_one_scale.ta_as,
    on_one_scale.notes,
    -- dates
    on_one_scale.taken_at,
    on_one_scale.taken_on,
    -- numbers
    on_one_scale.shown_sg as gravity_read,
    case
        when on_one_scale.read_with = 'hydrometer'
            then corrected_gravity(
                on_one_scale.shown_sg,
                coalesce(
                    on_one_scale.temperature_c,
                    settings.hydrometer_calibrated_at_c
                ),
                settings.hydrometer_calibrated_at_c,
                settings.hydrometer_offset
            )
    end as gravity,
    on_one_scale.shown_brix as refractometer_brix,
    on_one_scale.temperature_c,
    on_one_scale.must_temperature_c,
    on_one_scale.ph,
    on_one_scale.ta_g_l * tartaric_per_gram.factor as ta_tartaric_g_l,
    on_one_scale.free_so2_mg_l,
    on_one_scale.volume_l
from on_one_scale
cross join settings
left join reference_acids as tartaric_per_gram
    on coalesce(on_one_scale.ta_as, 'tartaric') = tartaric_per_gram.acid;
