-- liquid_changes: one row per change of a batch's liquid after its original
-- gravity was read: sugar, juice, water or fruit that came later, and topping
-- up. before_l is the liquid it went into, added_l and sugar_g what it brought;
-- null where unknown. Topping up with wine changes nothing that is reckoned
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
        case
            when count(*) = count(contributions.amount)
                then coalesce(sum(contributions.amount) filter (
                    where contributions.quantity in (
                        'sugar_g', 'juice_sugar_g', 'fruit_sugar_g'
                    )
                ), 0)
        end as sugar_g,
        case
            when count(*) = count(contributions.amount)
                then coalesce(sum(contributions.amount) filter (
                    where contributions.quantity in (
                        'sugar_l', 'juice_l', 'poured_l', 'fruit_strained_l'
                    )
                ), 0)
        end as added_l
    from contributions
    inner join readings on contributions.must_id = readings.batch_id
    where
        contributions.kind in ('sugar', 'honey', 'juice', 'water', 'fruit')
        and contributions.quantity in (
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
        case when topped_up_with = 'water' then 0 end as sugar_g,
        case when topped_up_with = 'water' then topped_up_l end as added_l,
        volume_after_l as before_l
    from steps
    where
        topped_up_l > 0 and topped_up_with is distinct from 'wine'
),
all_changes as (
    select batch_id, line, day, kind, sugar_g, added_l, before_l
    from into_liquid
    union all
    select batch_id, line, day, kind, sugar_g, added_l, before_l
    from toppings
)
select
    *,
    row_number() over (
        partition by batch_id order by day, kind = 'topping', line
    ) as change_number
from all_changes;
