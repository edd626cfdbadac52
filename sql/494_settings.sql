-- settings: one row: the logbook's settings with their defaults, in SI units.
create table settings as
select * from logbook_settings;
