-- must_liquids: one row per batch or recipe: the liquids of the must in L.
-- Water poured beside the fruit is as logged; water up to a mark is what the
-- mark leaves over once fruit, sugar and juice have taken their room, so it
-- rests on the reference table. liquid_l is everything liquid in the vessel,
-- the fruit's own juice included; strained_expected_l what is expected to run
-- off when the solids come out.
create table must_liquids as
with
amounts as (select * from must_amounts),
must_lines as (select * from must_lines),
must_gaps as (
    select must_id, is_planned, bool_or(is_unknown) as is_water_unknown
    from must_sums
    where quantity = 'poured_l'
    group by must_id, is_planned
),
marks as (
    select
        must_id,
        is_planned,
        max(amount_l) as to_mark_l,
        arg_max(day, (amount_l, -line)) filter (where amount_l is not null)
            as to_mark_day,
        arg_max(amount_l * amount_error, (amount_l, -line))
            filter (where amount_l is not null) as to_mark_error_l
    from must_lines
    where kind = 'water' and is_to_mark
    group by must_id, is_planned
),
-- What was already in the vessel when the water went up to the mark.
beneath as (
    select
        marks.must_id,
        marks.is_planned,
        case
            when count(contributions.amount) = count(*)
                then sum(contributions.amount)
        end as beneath_l
    from marks
    inner join contributions
        on marks.must_id = contributions.must_id
        and marks.is_planned = contributions.is_planned
        and (
            contributions.day <= marks.to_mark_day
            or contributions.day is null
        )
    where
        contributions.quantity in (
            'fruit_displaced_l', 'juice_l', 'poured_l', 'sugar_l'
        )
    group by marks.must_id, marks.is_planned
),
watered as (
    select
        amounts.*,
        marks.to_mark_l,
        marks.to_mark_error_l,
        case
            when must_gaps.is_water_unknown then null
            when marks.to_mark_l is null then amounts.poured_l
            when beneath.must_id is null then marks.to_mark_l
            -- greatest() passes over a null: unknown must not become nothing.
            when beneath.beneath_l is not null then
                amounts.poured_l
                + greatest(marks.to_mark_l - beneath.beneath_l, 0)
        end as water_l,
        case
            when must_gaps.is_water_unknown then null
            when marks.to_mark_l is not null and amounts.poured_l > 0
                then 'both'
            when marks.to_mark_l is not null then 'to_mark'
            when amounts.poured_l > 0 then 'on_top'
            else 'none'
        end as made
    from amounts
    left join must_gaps
        on amounts.must_id = must_gaps.must_id
        and amounts.is_planned = must_gaps.is_planned
    left join marks
        on amounts.must_id = marks.must_id
        and amounts.is_planned = marks.is_planned
    left join beneath
        on amounts.must_id = beneath.must_id
        and amounts.is_planned = beneath.is_planned
)
select
    must_id,
    is_planned,
    to_mark_l,
    water_l,
    sqrt(pow(poured_error_l, 2) + pow(coalesce(to_mark_error_l, 0), 2))
        as water_error_l,
    made,
    water_l + juice_l + sugar_l + fruit_liquid_l as liquid_l,
    water_l + juice_l + sugar_l - late_sugar_l + fruit_liquid_l
        as liquid_at_start_l,
    water_l + juice_l + sugar_l + fruit_strained_l as strained_expected_l
from watered;
