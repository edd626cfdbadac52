-- musts: one row per batch or planned recipe: all that is known from what goes
-- in, so that a recipe is described exactly as a batch is. Per litre means per
-- litre of strained must: as measured, else as expected from the reference
-- tables. Null is unknown; unknown lists the sums that cannot be known.
create table musts as
with
targets as (select * from must_targets),
amounts as (select * from must_amounts),
liquids as (select * from must_liquids),
fruits as (select * from must_fruits),
lines as (select * from must_lines),
costs as (
    select must_id, is_planned, sum(cost) as cost
    from lines
    group by must_id, is_planned
),
mixed as (
    select
        must_id,
        is_planned,
        -- Of equal weights the first by name, in whatever order they are read.
        arg_min(fruit, (-coalesce(kg, 0), fruit)) as main_fruit,
        count(*) as fruits,
        sum(kg * crushed_share) / sum(kg) as crushed_share,
        sum(kg * frozen_share) / sum(kg) as frozen_share,
        sum(kg * skins_share) filter (where skins_share is not null)
        / sum(kg) filter (where skins_share is not null) as skins_share,
        sum(kg * unripe_share) filter (where unripe_share is not null)
        / sum(kg) filter (where unripe_share is not null) as unripe_share,
        sum(kg * overripe_share) filter (where overripe_share is not null)
        / sum(kg) filter (where overripe_share is not null) as overripe_share,
        sum(kg * contact_days) filter (where contact_days is not null)
        / sum(kg) filter (where contact_days is not null) as contact_days,
        sum(kg * contact_days_before_yeast)
            filter (where contact_days_before_yeast is not null)
        / sum(kg) filter (where contact_days_before_yeast is not null)
            as contact_days_before_yeast,
        sum(tannin_exposure(
            kg, tannin_class, skins_share,
            contact_days_before_yeast, contact_days_after_yeast
        )) as tannin_exposure_kg,
        bool_or(is_composition_default) as is_composition_default
    from fruits
    group by must_id, is_planned
),
joined as (
    select
        targets.*,
        amounts.* exclude (must_id, is_planned),
        liquids.* exclude (must_id, is_planned),
        mixed.* exclude (must_id, is_planned),
        costs.cost,
        coalesce(targets.strained_l, liquids.strained_expected_l) as must_l
    from targets
    inner join amounts
        on targets.must_id = amounts.must_id
        and targets.is_planned = amounts.is_planned
    inner join liquids
        on targets.must_id = liquids.must_id
        and targets.is_planned = liquids.is_planned
    left join mixed
        on targets.must_id = mixed.must_id
        and targets.is_planned = mixed.is_planned
    left join costs
        on targets.must_id = costs.must_id
        and targets.is_planned = costs.is_planned
),
with_gravity as (
    select
        *,
        gravity_from_sugar(
            (sugar_g - late_sugar_g + juice_sugar_g + fruit_sugar_g)
            / liquid_at_start_l
        ) as original_gravity_by_mass,
        gravity_from_sugar(
            (sugar_g + juice_sugar_g + fruit_sugar_g) / liquid_l
        ) as equivalent_gravity_by_mass
    from joined
)
select
    -- keys
    must_id,
    is_planned,
    recipe,
    yeast,
    started_on,
    -- what it is meant to give
    target_volume_l,
    extraction,
    ferment_temperature_c,
    sweeten_to_g_l,
    rackings,
    taste_day,
    -- fruit
    main_fruit,
    coalesce(fruits, 0) as fruits,
    fruit_kg,
    fruit_error_kg,
    fruit_kg / target_volume_l as fruit_load_kg_l,
    crushed_share,
    frozen_share,
    skins_share,
    unripe_share,
    overripe_share,
    contact_days,
    contact_days_before_yeast,
    contact_days - contact_days_before_yeast as contact_days_after_yeast,
    pressed,
    is_composition_default,
    -- liquids
    made,
    to_mark_l,
    water_l,
    water_error_l,
    juice_l,
    juice_error_l,
    sugar_l,
    fruit_liquid_l,
    fruit_displaced_l,
    liquid_l,
    strained_expected_l,
    must_l,
    -- sugar
    sugar_g / 1000 as sugar_kg,
    late_sugar_g / 1000 as late_sugar_kg,
    sugar_error_g / 1000 as sugar_error_kg,
    juice_sugar_g,
    fruit_sugar_g,
    fruit_starch_g,
    original_gravity_by_mass,
    equivalent_gravity_by_mass,
    -- acid, nitrogen, tannin, sulphite
    acid_g / must_l as acid_added_g_l,
    acid_error_g / must_l as acid_error_g_l,
    acid_removed_g / must_l as acid_removed_g_l,
    (fruit_acid_g + juice_acid_g) / liquid_l as fruit_acid_g_l,
    nitrogen_g * 1000 / must_l as nitrogen_added_mg_l,
    nitrogen_error_g * 1000 / must_l as nitrogen_error_mg_l,
    nitrogen_needed(equivalent_gravity_by_mass) as nitrogen_needed_mg_l,
    ammonium_phosphate_g / must_l as ammonium_phosphate_g_l,
    tannin_g / must_l as tannin_added_g_l,
    tannin_error_g / must_l as tannin_error_g_l,
    tannin_exposure_kg / target_volume_l as tannin_exposure,
    so2_g * 1000 / must_l as so2_added_mg_l,
    sorbic_g * 1000 / must_l as sorbic_added_mg_l,
    has_pectic_enzyme,
    has_amylase,
    -- money
    cost,
    unknown
from with_gravity
order by is_planned, must_id;
