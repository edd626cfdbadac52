"""The pages in the order of the side bar, each by its name with the question it answers."""

PAGES = {
    "shelf": "What is on the shelf?",
    "add": "What is there to write down?",
    "volume": "Will it fill the vessel?",
    "dryness": "How dry will it finish?",
    "harsh": "Why is it harsh?",
    "recipes": "Which recipe next?",
    "bench": "What does this wine need?",
    "batch": "How did this batch go?",
    "problems": "What the logs got wrong",
}
