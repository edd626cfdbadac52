-- batches: one row per batch: what went in (as in musts) and what came out.
-- bottled_l is all that went into bottles; finished_fraction is bottled over
-- target, finished_fraction_net the same without what was topped up, which is
-- what the recipe itself gave. Temperatures are of the first ten days. A wine
-- that stuck and was then stabilised is kept sweet: it ages, nobody waits for it.
create table batches as
with
staged as (select * from staged_batches),
musts as (select * from musts where not is_planned),
fermentations as (select * from fermentations),
steps as (select * from steps),
glasses as (select * from staged_tastings),
set_aside as (
    select must_id as batch_id, count(*) as steps_lost
    from logbook_set_aside
    where contract_file = 'transfers'
    group by must_id
),
everything_logged as (
    select max(day_logged) as last_logged_on
    from (
        select max(started_on) as day_logged from staged
        union all
        select max(taken_on) from readings
        union all
        select max(moved_on) from steps
        union all
        select max(tasted_on) from glasses
    ) as days
),
moved as (
    select
        batch_id,
        min(volume_after_l) filter (where step = 'strain') as strained_l,
        arg_max(volume_after_l, step_number)
            filter (where step = 'rack') as racked_l,
        sum(volume_after_l) filter (where step = 'bottle') as bottled_l,
        sum(bottles) filter (where step = 'bottle') as bottles,
        min(day) filter (where step = 'bottle') as bottle_day,
        count(*) filter (where step = 'rack') as times_racked,
        coalesce(sum(topped_up_l), 0) as topped_up_l
    from steps
    group by batch_id
),
-- Both at once, since there may be millions of readings.
measured as (
    select
        batch_id,
        avg(must_temperature_c) filter (where day <= 10)
            as must_temperature_mean_c,
        max(must_temperature_c) filter (where day <= 10)
            as must_temperature_max_c,
        arg_max(ph, (day, -line)) filter (where ph is not null) as ph,
        arg_max(ta_tartaric_g_l, (day, -line))
            filter (where ta_tartaric_g_l is not null) as ta_tartaric_g_l,
        arg_max(free_so2_mg_l, (day, -line))
            filter (where free_so2_mg_l is not null) as free_so2_mg_l
    from readings
    group by batch_id
),
tasted as (
    select
        batch_id,
        count(*) as glasses,
        avg(score) as score,
        avg(harshness) as harshness
    from glasses
    group by batch_id
),
joined as (
    select
        staged.name,
        staged.status,
        staged.gallon,
        staged.notes,
        musts.* exclude (must_id, is_planned, rackings),
        fermentations.* exclude (batch_id),
        moved.* exclude (batch_id, topped_up_l, strained_l),
        moved.strained_l,
        case
            when set_aside.batch_id is null
                then coalesce(moved.topped_up_l, 0)
        end as topped_up_l,
        measured.* exclude (batch_id),
        coalesce(tasted.glasses, 0) as glasses,
        tasted.score,
        tasted.harshness,
        date_diff('day', staged.started_on, everything_logged.last_logged_on)
            as days_since,
        staged.batch_id,
        staged.line
    from staged
    inner join musts on staged.batch_id = musts.must_id
    inner join fermentations on staged.batch_id = fermentations.batch_id
    left join moved on staged.batch_id = moved.batch_id
    left join set_aside on staged.batch_id = set_aside.batch_id
    left join measured on staged.batch_id = measured.batch_id
    left join tasted on staged.batch_id = tasted.batch_id
    cross join everything_logged
)
select
    batch_id,
    line,
    name,
    case
        when status in ('lost', 'bottled') then status
        when bottle_day is not null then 'bottled'
        when is_stuck and is_stabilised then 'ageing'
        when is_stuck then 'stuck'
        when status is not null then status
        when
            days_since < 42 and coalesce(last_gravity, 2) > 1.0005
            and coalesce(times_racked, 0) = 0
            then 'fermenting'
        else 'ageing'
    end as state,
    * exclude (
        batch_id, line, name, status, days_since, bottle_day, unknown,
        is_stabilised
    ),
    bottled_l / target_volume_l as finished_fraction,
    (bottled_l - topped_up_l) / target_volume_l as finished_fraction_net,
    abs(original_gravity - original_gravity_by_mass) > 0.006
        as is_original_gravity_doubtful,
    case
        when free_so2_mg_l is not null and ph is not null
            then molecular_so2(free_so2_mg_l, ph)
    end as molecular_so2_mg_l,
    cost / nullif(bottles, 0) as cost_per_bottle,
    bottle_day,
    unknown
from joined
order by line;
