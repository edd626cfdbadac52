-- contributions: one row per line of a must and quantity it adds to: grams of
-- sugar, acid (as tartaric), nitrogen, sulphur dioxide and so on, or litres.
-- What a kg or a litre of each thing brings stands in the reference tables.
-- amount is null where it cannot be known (the row was set aside, the weight or
-- the composition is unknown): unknown is not nothing, so every sum over it is
-- null too.
create table contributions as
with
must_lines as (select * from must_lines),
batches as (select * from staged_batches),
set_aside as (select * from logbook_set_aside),
reference as (select * from reference_contributions),
known_things as (select distinct kind, ingredient_key from reference),
defaults as (select * from reference where ingredient_key is null),
keyed as (
    select
        must_lines.*,
        known_things.ingredient_key as reference_key
    from must_lines
    left join known_things
        on must_lines.kind = known_things.kind
        and must_lines.ingredient_name = known_things.ingredient_key
),
brought as (
    select
        keyed.must_id,
        keyed.is_planned,
        keyed.line,
        keyed.day,
        keyed.kind,
        keyed.ingredient_name,
        reference.quantity,
        coalesce(
            reference.per_line,
            keyed.amount_kg * reference.per_kg,
            keyed.amount_l * reference.per_l
        ) as amount,
        keyed.amount_error as error
    from keyed
    inner join reference
        on keyed.kind = reference.kind
        and keyed.reference_key is not distinct from reference.ingredient_key
    where not keyed.is_to_mark
),
-- A row whose very kind could not be read may have been anything.
lost as (
    select distinct
        set_aside.must_id,
        set_aside.contract_file = 'recipes' as is_planned,
        set_aside.line,
        date_diff('day', batches.started_on, set_aside.happened_on)::double
            as day,
        defaults.kind,
        set_aside.ingredient as ingredient_name,
        defaults.quantity,
        null::double as amount,
        0::double as error
    from set_aside
    inner join defaults
        on set_aside.kind is null or set_aside.kind = defaults.kind
    left join batches on set_aside.must_id = batches.batch_id
    where
        set_aside.contract_file in ('additions', 'recipes')
        and set_aside.must_id is not null
)
select * from brought
union all
select * from lost;
