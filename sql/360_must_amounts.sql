-- must_amounts: one row per batch or recipe: the sums of must_sums side by
-- side, a column a quantity; unknown lists those that cannot be known.
create or replace temp macro nought_or_unknown(total, quantity, unknown) as
    case when not list_contains(unknown, quantity) then coalesce(total, 0) end;

create table must_amounts as
with
musts as (select must_id, is_planned from must_days),
side_by_side as (
    select
        must_id,
        is_planned,
        max(total) filter (where quantity = 'fruit_kg') as fruit_kg,
        max(error) filter (where quantity = 'fruit_kg') as fruit_error_kg,
        max(total) filter (where quantity = 'fruit_sugar_g') as fruit_sugar_g,
        max(total) filter (where quantity = 'fruit_starch_g') as fruit_starch_g,
        max(total) filter (where quantity = 'fruit_acid_g') as fruit_acid_g,
        max(total) filter (where quantity = 'fruit_liquid_l') as fruit_liquid_l,
        max(total) filter (where quantity = 'fruit_displaced_l')
            as fruit_displaced_l,
        max(total) filter (where quantity = 'fruit_strained_l')
            as fruit_strained_l,
        max(total) filter (where quantity = 'juice_l') as juice_l,
        max(error) filter (where quantity = 'juice_l') as juice_error_l,
        max(total) filter (where quantity = 'juice_sugar_g') as juice_sugar_g,
        max(total) filter (where quantity = 'juice_acid_g') as juice_acid_g,
        max(total) filter (where quantity = 'poured_l') as poured_l,
        max(error) filter (where quantity = 'poured_l') as poured_error_l,
        max(total) filter (where quantity = 'sugar_g') as sugar_g,
        max(late) filter (where quantity = 'sugar_g') as late_sugar_g,
        max(error) filter (where quantity = 'sugar_g') as sugar_error_g,
        max(total) filter (where quantity = 'sugar_l') as sugar_l,
        max(late) filter (where quantity = 'sugar_l') as late_sugar_l,
        max(total) filter (where quantity = 'acid_g') as acid_g,
        max(error) filter (where quantity = 'acid_g') as acid_error_g,
        max(total) filter (where quantity = 'acid_removed_g') as acid_removed_g,
        max(total) filter (where quantity = 'tannin_g') as tannin_g,
        max(error) filter (where quantity = 'tannin_g') as tannin_error_g,
        max(total) filter (where quantity = 'nitrogen_g') as nitrogen_g,
        max(error) filter (where quantity = 'nitrogen_g') as nitrogen_error_g,
        max(total) filter (where quantity = 'ammonium_phosphate_g')
            as ammonium_phosphate_g,
        max(total) filter (where quantity = 'so2_g') as so2_g,
        max(total) filter (where quantity = 'sorbic_g') as sorbic_g,
        max(total) filter (where quantity = 'pectic_enzyme') as pectic_enzyme,
        max(total) filter (where quantity = 'amylase') as amylase,
        list_sort(list(quantity) filter (where is_unknown)) as lost
    from must_sums
    group by must_id, is_planned
),
filled as (
    select
        musts.must_id,
        musts.is_planned,
        side_by_side.* exclude (must_id, is_planned, lost),
        coalesce(side_by_side.lost, []) as unknown
    from musts
    left join side_by_side
        on musts.must_id = side_by_side.must_id
        and musts.is_planned = side_by_side.is_planned
)
select
    must_id,
    is_planned,
    nought_or_unknown(fruit_kg, 'fruit_kg', unknown) as fruit_kg,
    coalesce(fruit_error_kg, 0) as fruit_error_kg,
    nought_or_unknown(fruit_sugar_g, 'fruit_sugar_g', unknown)
        as fruit_sugar_g,
    nought_or_unknown(fruit_starch_g, 'fruit_starch_g', unknown)
        as fruit_starch_g,
    nought_or_unknown(fruit_acid_g, 'fruit_acid_g', unknown) as fruit_acid_g,
    nought_or_unknown(fruit_liquid_l, 'fruit_liquid_l', unknown)
        as fruit_liquid_l,
    nought_or_unknown(fruit_displaced_l, 'fruit_displaced_l', unknown)
        as fruit_displaced_l,
    nought_or_unknown(fruit_strained_l, 'fruit_strained_l', unknown)
        as fruit_strained_l,
    nought_or_unknown(juice_l, 'juice_l', unknown) as juice_l,
    coalesce(juice_error_l, 0) as juice_error_l,
    nought_or_unknown(juice_sugar_g, 'juice_sugar_g', unknown)
        as juice_sugar_g,
    nought_or_unknown(juice_acid_g, 'juice_acid_g', unknown) as juice_acid_g,
    nought_or_unknown(poured_l, 'poured_l', unknown) as poured_l,
    coalesce(poured_error_l, 0) as poured_error_l,
    nought_or_unknown(sugar_g, 'sugar_g', unknown) as sugar_g,
    nought_or_unknown(late_sugar_g, 'sugar_g', unknown) as late_sugar_g,
    coalesce(sugar_error_g, 0) as sugar_error_g,
    nought_or_unknown(sugar_l, 'sugar_l', unknown) as sugar_l,
    nought_or_unknown(late_sugar_l, 'sugar_l', unknown) as late_sugar_l,
    nought_or_unknown(acid_g, 'acid_g', unknown) as acid_g,
    coalesce(acid_error_g, 0) as acid_error_g,
    nought_or_unknown(acid_removed_g, 'acid_removed_g', unknown)
        as acid_removed_g,
    nought_or_unknown(tannin_g, 'tannin_g', unknown) as tannin_g,
    coalesce(tannin_error_g, 0) as tannin_error_g,
    nought_or_unknown(nitrogen_g, 'nitrogen_g', unknown) as nitrogen_g,
    coalesce(nitrogen_error_g, 0) as nitrogen_error_g,
    nought_or_unknown(ammonium_phosphate_g, 'ammonium_phosphate_g', unknown)
        as ammonium_phosphate_g,
    nought_or_unknown(so2_g, 'so2_g', unknown) as so2_g,
    nought_or_unknown(sorbic_g, 'sorbic_g', unknown) as sorbic_g,
    nought_or_unknown(pectic_enzyme, 'pectic_enzyme', unknown) > 0
        as has_pectic_enzyme,
    nought_or_unknown(amylase, 'amylase', unknown) > 0 as has_amylase,
    unknown
from filled;
