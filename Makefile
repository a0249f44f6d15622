# Short names for the committed scripts.
.PHONY: demo test look
demo: ; scripts/demo
test: ; scripts/test
look: ; scripts/look
