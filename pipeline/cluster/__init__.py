"""The same tables on Spark, for more readings than one machine holds.

Nothing here works anything out: `sql/` is translated as it stands and the formulas are those of
`pipeline.enology`, so that a mart made here and one made by `pipeline.cellar` are the same mart.
Needs the extra ``cluster`` and Java 17 or later. On a cluster, with its session::

    checked = pipeline.read_logbook(Path("club"))
    sources = frames_of(session, sources_of(checked))
    # Or readings that no logbook ever held: batch_id, line, taken_at and so on, in SI.
    readings = session.read.parquet("hdfs:///everybody/readings")
    sources["logbook_readings"] = with_gravities(readings, checked.settings)
    run_sql(session, sources, "hdfs:///everybody/mart", database="everybody")
"""
