-- files: one row per file of the logbook: rows read, loaded and set aside.
create table files as
select * from logbook_files;
