-- check_one_row_a_batch: batches that stand in the mart twice or not at all;
-- none may.
create table check_one_row_a_batch as
with
staged as (select batch_id from staged_batches),
mart as (
    select batch_id, count(*) as times from batches group by batch_id
)
select staged.batch_id, coalesce(mart.times, 0) as times
from staged
left join mart on staged.batch_id = mart.batch_id
where mart.times is distinct from 1;
