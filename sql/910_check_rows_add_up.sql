-- check_rows_add_up: files of which rows were lost on the way; none may be.
create table check_rows_add_up as
select *
from files
where rows_read <> rows_loaded + rows_set_aside;
