-- glasses: one row per glass tasted: age counts from the batch's start;
-- residual_sugar_g_l is that of the glass, stirred-in sugar included; harshness
-- is the mean of astringency, bitterness and warmth.
create table glasses as
with
tastings as (select * from staged_tastings),
batches as (select * from batches)
select
    tastings.batch_id,
    tastings.line,
    tastings.tasted_on,
    date_diff('day', batches.started_on, tastings.tasted_on) as age_days,
    tastings.taster,
    tastings.is_blind,
    tastings.sweetened_to_g_l,
    coalesce(tastings.sweetened_to_g_l, batches.residual_sugar_g_l)
        as residual_sugar_g_l,
    tastings.sweetness,
    tastings.sourness,
    tastings.astringency,
    tastings.bitterness,
    tastings.warmth,
    tastings.body,
    tastings.fruit,
    tastings.harshness,
    tastings.harshness >= settings.harsh_from as is_harsh,
    tastings.score,
    tastings.faults,
    tastings.notes
from tastings
inner join batches on tastings.batch_id = batches.batch_id
cross join logbook_settings as settings
order by tastings.line;
