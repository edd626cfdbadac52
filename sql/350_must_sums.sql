-- must_sums: one row per batch or recipe and quantity that something brings it,
-- or may have: what went in, summed; total is null where any part of it is
-- unknown. Of a quantity without a row nothing was added. late is the share of
-- the total that came later than the day after the yeast; error the half-width
-- of the total. Units as the quantity's name says.
create table must_sums as
with
contributions as (select * from contributions),
must_days as (select * from must_days),
summed as (
    select
        contributions.must_id,
        contributions.is_planned,
        contributions.quantity,
        count(*) > count(contributions.amount) as is_unknown,
        sum(contributions.amount) as total,
        sum(contributions.amount) filter (
            where contributions.day
            > coalesce(floor(must_days.yeast_day), 1) + 1
        ) as late,
        sqrt(sum(pow(contributions.amount * contributions.error, 2))) as error
    from contributions
    inner join must_days
        on contributions.must_id = must_days.must_id
        and contributions.is_planned = must_days.is_planned
    group by
        contributions.must_id,
        contributions.is_planned,
        contributions.quantity
)
select
    must_id,
    is_planned,
    quantity,
    is_unknown,
    case when not is_unknown then total end as total,
    case when not is_unknown then coalesce(late, 0) end as late,
    coalesce(error, 0) as error
from summed;
