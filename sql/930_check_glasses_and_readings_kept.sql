-- check_glasses_and_readings_kept: files whose loaded rows did not all reach
-- the mart; none may.
create table check_glasses_and_readings_kept as
with
mart as (
    select 'readings' as contract_file, count(*) as rows_in_mart from readings
    union all
    select 'tastings' as contract_file, count(*) as rows_in_mart from glasses
    union all
    select 'transfers' as contract_file, count(*) as rows_in_mart from steps
)
select mart.*, files.rows_loaded
from mart
inner join files on mart.contract_file = files.contract_file
where mart.rows_in_mart <> files.rows_loaded;
