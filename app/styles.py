"""What the page server has no option for: styles of a row, of a log and of the printed page."""

# A row of a file, its cells one after another as many to a line as fit: it wraps on a phone.
ROW = """<style>
.as-written { display: flex; flex-wrap: wrap; gap: .35rem 1.2rem; margin: 0; }
.as-written div { border-bottom: 2px solid transparent; padding: 0 .2rem; }
.as-written dt { font-size: .8rem; font-weight: 400; opacity: .8; }
.as-written dd { margin: 0; white-space: pre-line; overflow-wrap: anywhere; }
.as-written .at-fault { border-bottom-color: #c2623f; }
.as-written .at-fault dd { font-weight: 700; }
</style>"""
PRINT = """<style>
@media print {
  [data-testid=stSidebar], [data-testid=stHeader], [data-testid=stToolbar],
  [data-testid=stSelectbox], [data-testid=stPageLink], [data-testid=stElementToolbar],
  [data-testid=stExpandSidebarButton] { display: none !important; }
  html, body, #root, .stApp, [data-testid=stAppViewContainer], [data-testid=stMain],
  [data-testid=stMainBlockContainer] { position: static !important; height: auto !important;
    overflow: visible !important; display: block !important; background: #fff !important; }
  .stApp, .stApp *, .stApp svg text { color: #2b2a28 !important; }
  .stApp svg text { fill: #2b2a28 !important; }
  h1, h2, h3 { break-after: avoid; }
  tr, li, [data-testid=stVegaLiteChart] { break-inside: avoid; }
}
</style>"""
# Five columns: date, day, what, the text, where it stands.
LOG = """<style>
@media (max-width: 640px) {
  .st-key-log table, .st-key-log tbody { display: block !important; }
  .st-key-log thead { display: none !important; }
  .st-key-log tr { display: grid !important; grid-template-columns: auto auto 1fr auto;
    column-gap: .8rem; padding: .35rem 0; }
  .st-key-log td { border: 0 !important; padding: 0 !important; }
  .st-key-log td:nth-child(2)::before { content: "day "; }
  .st-key-log td:nth-child(4) { grid-column: 1 / -1; grid-row: 2; overflow-wrap: anywhere; }
  .st-key-log td:nth-child(5) { opacity: .8; }
}
</style>"""
