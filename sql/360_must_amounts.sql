-- must_amounts: one row per batch or recipe: the sums of must_sums side by
-- side, a column a quantity; unknown lists those that cannot be known.
create table must_amounts as
with
sums as (select * from must_sums)
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
    max(total) filter (where quantity = 'juice_sugar_g') as juice_sugar_g,
    max(total) filter (where quantity = 'juice_acid_g') as juice_acid_g,
    max(total) filter (where quantity = 'poured_l') as poured_l,
    max(total) filter (where quantity = 'sugar_g') as sugar_g,
    max(late) filter (where quantity = 'sugar_g') as late_sugar_g,
    max(error) filter (where quantity = 'sugar_g') as sugar_error_g,
    max(total) filter (where quantity = 'sugar_l') as sugar_l,
    max(late) filter (where quantity = 'sugar_l') as late_sugar_l,
    max(total) filter (where quantity = 'acid_g') as acid_g,
    max(total) filter (where quantity = 'acid_removed_g') as acid_removed_g,
    max(total) filter (where quantity = 'tannin_g') as tannin_g,
    max(error) filter (where quantity = 'tannin_g') as tannin_error_g,
    max(total) filter (where quantity = 'nitrogen_g') as nitrogen_g,
    max(error) filter (where quantity = 'nitrogen_g') as nitrogen_error_g,
    max(total) filter (where quantity = 'ammonium_phosphate_g')
        as ammonium_phosphate_g,
    max(total) filter (where quantity = 'so2_g') as so2_g,
    max(total) filter (where quantity = 'sorbic_g') as sorbic_g,
    max(total) filter (where quantity = 'pectic_enzyme') > 0
        as has_pectic_enzyme,
    max(total) filter (where quantity = 'amylase') > 0 as has_amylase,
    coalesce(
        list_sort(list(quantity) filter (where is_unknown)), []
    ) as unknown
from sums
group by must_id, is_planned;
