-- fruit_lines: one row per line of fruit in a must, with the days it lay in it
-- before and after the yeast went in. Days are whole days, as makers count.
create table fruit_lines as
with
must_lines as (select * from must_lines where kind = 'fruit'),
must_days as (select * from must_days),
timed as (
    select
        must_lines.*,
        floor(must_lines.day) as in_day,
        floor(must_days.yeast_day) as yeast_day,
        coalesce(must_lines.removed_day, must_days.strain_day) as out_day
    from must_lines
    inner join must_days
        on must_lines.must_id = must_days.must_id
        and must_lines.is_planned = must_days.is_planned
)
select
    must_id,
    is_planned,
    line,
    in_day,
    ingredient_name as fruit,
    amount_kg as kg,
    amount_kg * amount_error as error_kg,
    form,
    is_frozen,
    skins,
    ripeness,
    -- greatest() passes over a null: unknown must not become no days at all.
    case when out_day is not null then greatest(out_day - in_day, 0) end
        as contact_days,
    case
        when yeast_day is not null and out_day is not null
            then greatest(least(yeast_day, out_day) - in_day, 0)
    end as contact_days_before_yeast
from timed;
