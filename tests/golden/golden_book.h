/* What every book in tests/golden holds, whatever its form; invented. make_book.c puts it in, test_golden.c expects
 * it. Times and texts are constants. */
#ifndef RUNDOWN_TESTS_GOLDEN_BOOK_H
#define RUNDOWN_TESTS_GOLDEN_BOOK_H

#include "fault/invented_stream.h"

enum {
    GOLDEN_SEALED = BLOCK_READINGS + 900, /* in two blocks */
    GOLDEN_READINGS = GOLDEN_SEALED + 70  /* the rest waits in the journal */
};

static const int64_t golden_utc_ns = 1790000000123456789;
static const char golden_sample[] = "Hut pack 14", golden_name[] = "Hut pack 014";
static const char golden_label_before[] = "[sample]\nname = Hut pack 14\ninvented = yes\n[claims]\ncapacity = 105 Ah\n";
static const char golden_label[] = "[sample]\nname = Hut pack 14\ninvented = yes\n[claims]\ncapacity = 100 Ah\n";
static const char golden_rig[] = "[voltage]\naccuracy = 0.05 % + 2 digits\n";
static const char golden_line[] = "10:31:05  12.91 V  58 A  \xE2\x80\x94 burst";
static const char golden_columns[] = "{\"voltage\":\"column 2, by its header\"}";
static const char golden_finding[] = "{\"charge\":98.7}";
static const char golden_opened[] = "[opened]\ninvented = yes\n[bus bar]\nsize = 20 mm x 2 mm, copper\n"; /* from form 3 on */
static const char golden_note[] = "bus bar: copper, 20 mm x 2 mm; ample\n"; /* of a table that form 3 took away */
static const char golden_digest[] = "{\"runs\":1}"; /* from form 2 on */
static const char golden_picture[] = "\x89PNG no real picture\0with a zero byte";

#endif
