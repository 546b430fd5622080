"""Real recordings to judge by what hears: fetched by package name, never kept in the repository.

python -m tests.bench.corpus fetch      into $TONELEDGER_CORPUS, or ~/.cache/toneledger-corpus
python -m tests.bench.corpus list       what is there, its licences, and which half it is in
python -m tests.bench.corpus delay      delay and polarity of pairs, both halves; with
                                        turned: each recording as the other two kinds of pair;
                                        with 31-80: those of a half, from the 31st on
python -m tests.bench.corpus causes     single changes, and which cause is named first
python -m tests.bench.corpus own FOLDER     your own, one change each

Sources are split once into a half on which limits are set and a half on which results are told.
"""
