-- liquid_changes: one row per change of a batch's liquid after its original
-- gravity was read: sugar, juice, water or fruit that came later, and topping
-- up. before_l is the liquid it went into, sugar_kg, the room it takes (sugar_l)
-- and other liquid (added_l) what it brought; null where unknown. Topping up with wine changes nothing that is reckoned
-- here; what juice, or an unnamed liquid, brings is unknown.
create table liquid_changes as
with
contributions as (select * from contributions where not is_planned),
musts as (select * from musts where not is_planned),
readings as (select * from readings where is_original),
steps as (select * from steps),
additions as (
    select
        contributions.must_id as batch_id,
        contributions.line,
        contributions.day,
        contributions.kind,
        bool_or(contributions.amount is null) as is_unknown,
        sum(contributions.amount) filter (
            where contributions.quantity in (
                'sugar_g', 'juice_sugar_g', 'fruit_sugar_g'
            )
        ) as sugar_g,
        sum(contributions.amount) filter (
            where contributions.quantity = 'sugar_l'
        ) as sugar_l,
        sum(contributions.amount) filter (
            where contributions.quantity in (
                'juice_l', 'poured_l', 'fruit_strained_l'
            )
        ) as added_l
    from contributions
    inner join readings on contributions.must_id = readings.batch_id
    where
        contributions.quantity in (
            'sugar_g', 'juice_sugar_g', 'fruit_sugar_g',
            'sugar_l', 'juice_l', 'poured_l', 'fruit_strained_l'
        )
        and (
            floor(contributions.day) > floor(readings.day)
            or contributions.day is null
        )
    group by
        contributions.must_id,
        contributions.line,
        contributions.day,
        contributions.kind
),
into_liquid as (
    select
        additions.*,
        coalesce(
            (
                select arg_max(
                    steps.volume_after_l + coalesce(steps.topped_up_l, 0),
                    steps.step_number
                )
                from steps
                where
                    steps.batch_id = additions.batch_id
                    and steps.day <= additions.day
                    and steps.volume_after_l is not null
            ),
            -- With the fruit still in, part of the liquid is held in the pulp
            -- and only slowly shares the sugar: between all and what strains.
            (musts.liquid_l + musts.must_l) / 2,
            musts.must_l
        ) as before_l
    from additions
    inner join musts on additions.batch_id = musts.must_id
),
toppings as (
    select
        batch_id,
        line,
        day,
        'topping' as kind,
        topped_up_with is distinct from 'water' as is_unknown,
        0 as sugar_g,
        0 as sugar_l,
        topped_up_l as added_l,
        volume_after_l as before_l
    from steps
    where
        topped_up_l > 0 and topped_up_with is distinct from 'wine'
),
all_changes as (
    select * from into_liquid
    union all
    select * from toppings
)
select
    batch_id,
    line,
    row_number() over (
        partition by batch_id order by day, kind = 'topping', line, kind
    ) as change_number,
    day,
    kind,
    before_l,
    case when not is_unknown then coalesce(sugar_g, 0) / 1000 end as sugar_kg,
    case when not is_unknown then coalesce(sugar_l, 0) end as sugar_l,
    case when not is_unknown then coalesce(added_l, 0) end as added_l
from all_changes;
