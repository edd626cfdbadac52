-- must_days: one row per batch or recipe: the days, counted from the start, on
-- which the yeast went in and the solids came out, and what was strained off.
-- Of two lines of one moment the first counts, in whatever order they are read.
create table must_days as
with
batches as (select * from staged_batches),
recipes as (select distinct recipe from staged_recipes),
transfers as (select * from staged_transfers),
must_lines as (select * from must_lines),
musts as (
    select batch_id as must_id, false as is_planned, started_on from batches
    union all
    select recipe as must_id, true as is_planned, null as started_on
    from recipes
),
yeasts as (
    select
        must_id,
        is_planned,
        min(day) as yeast_day,
        arg_min(ingredient, (day, line)) filter (where day is not null)
            as yeast_added
    from must_lines
    where kind = 'yeast'
    group by must_id, is_planned
),
strains as (
    select
        batch_id,
        min(moved_on) as strained_on,
        arg_min(pressed, (moved_at, line)) as pressed,
        arg_min(volume_after_l, (moved_at, line)) as strained_l
    from transfers
    where step = 'strain'
    group by batch_id
)
select
    musts.must_id,
    musts.is_planned,
    yeasts.yeast_day,
    yeasts.yeast_added,
    date_diff('day', musts.started_on, strains.strained_on)::double
        as strain_day,
    strains.pressed,
    strains.strained_l
from musts
left join yeasts
    on musts.must_id = yeasts.must_id and musts.is_planned = yeasts.is_planned
left join strains
    on musts.must_id = strains.batch_id and not musts.is_planned;
