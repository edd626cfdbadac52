-- steps: one row per change of vessel, dated from the batch's start, with the
-- volume before it as the step before left it (null where none was measured).
create table steps as
with
transfers as (select * from staged_transfers),
batches as (select * from staged_batches),
dated as (
    select
        transfers.*,
        date_diff('second', batches.started_on::timestamp, transfers.moved_at)
        / 86400.0 as day,
        row_number() over (
            partition by transfers.batch_id
            order by transfers.moved_at, transfers.line
        ) as step_number
    from transfers
    inner join batches on transfers.batch_id = batches.batch_id
)
select
    batch_id,
    line,
    step_number,
    moved_on,
    day,
    step,
    pressed,
    lag(volume_after_l + coalesce(topped_up_l, 0)) over (
        partition by batch_id order by step_number
    ) as volume_before_l,
    volume_after_l,
    volume_after_error,
    topped_up_l,
    topped_up_with,
    bottles,
    notes
from dated
order by line;
