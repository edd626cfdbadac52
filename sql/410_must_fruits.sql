-- must_fruits: one row per fruit in a batch or planned recipe, all its lines
-- together. Shares are of the fruit's weight, 0 to 1; null where not logged.
-- Composition is per kg as weighed in, from the reference table; that of an average
-- fruit where the fruit is not in it (is_composition_default).
create table must_fruits as
with
fruit_lines as (select * from fruit_lines),
musts as (select * from must_targets),
reference as (select * from reference_fruits),
together as (
    select
        must_id,
        is_planned,
        fruit,
        case when count(kg) = count(*) then sum(kg) end as kg,
        sqrt(sum(pow(error_kg, 2))) as error_kg,
        sum(weight * (form = 'sliced')::int) / sum(weight)
            filter (where form is not null) as sliced_share,
        sum(weight * (form in ('crushed', 'pureed'))::int) / sum(weight)
            filter (where form is not null) as crushed_share,
        sum(weight * (form = 'pureed')::int) / sum(weight)
            filter (where form is not null) as pureed_share,
        sum(weight * (form = 'pressed')::int) / sum(weight)
            filter (where form is not null) as pressed_share,
        sum(weight * (form = 'dried')::int) / sum(weight)
            filter (where form is not null) as dried_share,
        sum(weight * is_frozen::int) / sum(weight) as frozen_share,
        sum(weight * (skins = 'on')::int) / sum(weight)
            filter (where skins is not null) as skins_share,
        sum(weight * (ripeness = 'under')::int) / sum(weight)
            filter (where ripeness is not null) as unripe_share,
        sum(weight * (ripeness = 'over')::int) / sum(weight)
            filter (where ripeness is not null) as overripe_share,
        sum(weight * contact_days) / sum(weight)
            filter (where contact_days is not null) as contact_days,
        sum(weight * contact_days_before_yeast) / sum(weight)
            filter (where contact_days_before_yeast is not null)
            as contact_days_before_yeast
    from (
        -- A line of unknown weight still says how the fruit was treated.
        select *, coalesce(kg, 1) as weight
        from fruit_lines
    ) as weighted
    group by must_id, is_planned, fruit
)
select
    together.*,
    together.contact_days - together.contact_days_before_yeast
        as contact_days_after_yeast,
    together.kg / musts.target_volume_l as load_kg_l,
    reference.fruit is null as is_composition_default,
    composition.sugar_g_kg,
    composition.starch_g_kg,
    composition.acid_g_kg,
    composition.displaced_l_kg,
    composition.liquid_l_kg,
    composition.strained_l_kg,
    composition.tannin_class,
    composition.is_starchy,
    composition.is_stone_fruit
from together
inner join musts
    on together.must_id = musts.must_id
    and together.is_planned = musts.is_planned
left join reference on together.fruit = reference.fruit
left join reference as composition
    on coalesce(reference.fruit, 'average fruit') = composition.fruit
order by together.is_planned, together.must_id, together.fruit;
