-- must_targets: one row per batch or planned recipe: its name, yeast and what
-- it is meant to give. The yeast is that of batches.csv, else the one added.
create table must_targets as
with
batches as (select * from staged_batches),
recipes as (select * from staged_recipes),
must_days as (select * from must_days),
logged as (
    select
        batch_id as must_id,
        false as is_planned,
        recipe,
        yeast,
        target_volume_l,
        extraction,
        started_on,
        null::double as ferment_temperature_c,
        null::double as sweeten_to_g_l,
        null::double as rackings,
        null::double as taste_day
    from batches
),
planned as (
    select
        recipe as must_id,
        true as is_planned,
        recipe,
        max(yeast) as yeast,
        max(target_volume_l) as target_volume_l,
        null as extraction,
        null::date as started_on,
        max(ferment_temperature_c) as ferment_temperature_c,
        max(sweeten_to_g_l) as sweeten_to_g_l,
        max(rackings) as rackings,
        max(taste_day) as taste_day
    from recipes
    group by recipe
),
both_kinds as (
    select * from logged
    union all
    select * from planned
),
-- One strain is one name, however its letters are written.
spellings as (
    select lower(yeast) as yeast_key, arg_min(yeast, line) as spelling
    from batches
    where yeast is not null
    group by lower(yeast)
),
named as (
    select
        both_kinds.* exclude (yeast),
        coalesce(both_kinds.yeast, must_days.yeast_added) as yeast_named
    from both_kinds
    inner join must_days
        on both_kinds.must_id = must_days.must_id
        and both_kinds.is_planned = must_days.is_planned
)
select
    named.* exclude (yeast_named),
    coalesce(
        spellings.spelling,
        upper(substring(named.yeast_named, 1, 1))
        || substring(named.yeast_named, 2)
    ) as yeast,
    must_days.yeast_day,
    must_days.strain_day,
    must_days.pressed,
    must_days.strained_l
from named
inner join must_days
    on named.must_id = must_days.must_id
    and named.is_planned = must_days.is_planned
left join spellings on lower(named.yeast_named) = spellings.yeast_key;
