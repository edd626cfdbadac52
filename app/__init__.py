"""The Streamlit page: thin pages, each titled with the question it answers."""
