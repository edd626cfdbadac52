-- problems: one row per thing wrong or doubtful in the logbook's files.
create table problems as
select * from logbook_problems;
