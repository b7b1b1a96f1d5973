#include "assessed.h"

#include "report/sheet.h"

#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

/* A file in memory that a child sees under the same path. */
static int open_shared(const char *name, char *path, size_t size)
{
    int file = memfd_create(name, 0);
    snprintf(path, size, "/proc/self/fd/%d", file);
    return file;
}

/* What a reader finds in the pages, each closed by a form feed; false when pdftotext is not here. */
static bool sheet_words(const struct assessment *assessment, const struct publishing *publishing, struct text *ret_words)
{
    char pdf[64], words[64];
    int files[2] = {open_shared("pdf", pdf, sizeof pdf), open_shared("words", words, sizeof words)}, result = -1;
    struct message message = {0};
    pid_t child;
    CHECK(sheet_write(assessment, publishing, pdf, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    char program[] = "pdftotext", layout[] = "-layout", encoding[] = "-enc", utf8[] = "UTF-8";
    char *arguments[] = {program, layout, encoding, utf8, pdf, words, NULL};
    bool ran = posix_spawnp(&child, program, NULL, NULL, arguments, environ) == 0 &&
               waitpid(child, &result, 0) == child && WIFEXITED(result) && WEXITSTATUS(result) != 127;
    if (ran) {
        CHECK(result == 0);
        CHECK(text_read_file(words, 1 << 22, ret_words) == 0);
    }
    close(files[0]);
    close(files[1]);
    return ran;
}

static size_t pages_of(const struct text *words)
{
    size_t pages = 0;
    for (size_t k = 0; k < words->length; k++)
        pages += words->s[k] == '\f';
    return pages;
}

/* The words without what the layout puts between them. */
static bool says(const struct text *words, const char *wanted)
{
    struct text flat = TEXT_EMPTY;
    bool blank = true;
    for (const char *p = text_string(words); *p != '\0'; p++) {
        bool is_blank = *p == ' ' || *p == '\n' || *p == '\f';
        if (!(is_blank && blank))
            text_add_bytes(&flat, is_blank ? " " : p, 1);
        blank = is_blank;
    }
    bool found = strstr(text_string(&flat), wanted) != NULL;
    text_free(&flat);
    return found;
}

static void check_demo(enum paper_size size)
{
    struct assessment demo = assessed_demo();
    struct text words = TEXT_EMPTY;
    if (!sheet_words(&demo, &(struct publishing){.paper = size}, &words)) {
        assessment_free(&demo);
        SKIP("pdftotext is not on this machine");
    }
    CHECK(pages_of(&words) == 3 || pages_of(&words) == 4);
    for (size_t k = 0; k < demo.decision_count; k++) {
        CHECK(says(&words, demo.decisions[k].claim->name));
        CHECK(says(&words, verdict_name(demo.decisions[k].verdict)));
    }
    for (int verdict = VERDICT_MET; verdict <= VERDICT_NOT_TESTED; verdict++)
        CHECK(says(&words, verdict_name((enum verdict)verdict)));
    CHECK(says(&words, "Invented data."));
    CHECK(says(&words, "bought from stock under a private name"));
    CHECK(says(&words, "BMS opened"));
    CHECK(says(&words, "weigh again on a second scale"));
    CHECK(says(&words, "One sample is one sample"));
    CHECK(says(&words, "rundown assess hut-pack.log.csv"));
    text_free(&words);
    assessment_free(&demo);
}

TEST(the_demo_fills_few_pages_of_a4)
{
    check_demo(PAPER_A4);
}

TEST(the_demo_fills_few_pages_of_letter)
{
    check_demo(PAPER_LETTER);
}

TEST(a_dozen_readings_by_eye_fill_two_pages)
{
    static const char *const demos[][2] = {{"demo/bivouac-pack.readings", "demo/bivouac-pack.label"},
                                           {"demo/hut-pack.readings", "demo/hut-pack.label"}};
    for (int k = 0; k < 2; k++) {
        struct assessment demo = assessed(demos[k][0], demos[k][1], NULL);
        struct text words = TEXT_EMPTY;
        if (!sheet_words(&demo, &(struct publishing){.paper = PAPER_A4}, &words)) {
            assessment_free(&demo);
            SKIP("pdftotext is not on this machine");
        }
        CHECK(pages_of(&words) == 2 || pages_of(&words) == 3);
        CHECK(says(&words, "wide defaults stand"));
        text_free(&words);
        assessment_free(&demo);
    }
}

TEST(sixty_claims_run_on_and_none_is_lost)
{
    struct assessment many = made(60);
    struct text words = TEXT_EMPTY;
    if (!sheet_words(&many, &(struct publishing){.paper = PAPER_A4}, &words)) {
        made_free(&many);
        SKIP("pdftotext is not on this machine");
    }
    CHECK(pages_of(&words) > 2);
    for (int k = 0; k < 60; k++) {
        char name[32];
        snprintf(name, sizeof name, "claim %d of many", k);
        CHECK(says(&words, name));
    }
    text_free(&words);
    made_free(&many);
}

TEST(an_assessment_of_nothing_is_a_sheet)
{
    struct assessment nothing = {.decide = 0.975};
    struct text words = TEXT_EMPTY;
    sheet_words(&nothing, &(struct publishing){.paper = PAPER_LETTER}, &words);
    text_free(&words);
}

TEST(a_sheet_that_cannot_be_written_says_so)
{
    struct assessment few = made(3);
    struct message message = {0};
    CHECK(sheet_write(&few, &(struct publishing){0}, "no/such/folder/sheet.pdf", &message) == STATUS_UNREADABLE);
    CHECK_TEXT(message.file, "no/such/folder/sheet.pdf");
    made_free(&few);
}

TEST(a_sheet_with_commas_has_no_point_in_a_number)
{
    struct assessment demo = assessed_demo();
    struct text words = TEXT_EMPTY, point = TEXT_EMPTY;
    if (!sheet_words(&demo, &(struct publishing){.comma = true}, &words)) {
        assessment_free(&demo);
        SKIP("pdftotext is not on this machine");
    }
    CHECK(sheet_words(&demo, &(struct publishing){0}, &point));
    CHECK(says(&words, "Rundown " RUNDOWN_VERSION) && says(&words, "hut-pack.log.csv"));
    size_t commas = 0, points = 0;
    for (size_t k = 1; k + 1 < words.length; k++) {
        bool digits = strchr("0123456789", words.s[k - 1]) != NULL && strchr("0123456789", words.s[k + 1]) != NULL;
        commas += digits && words.s[k] == ',';
        points += digits && words.s[k] == '.';
    }
    CHECK(commas > 50);
    CHECK(points == 2 * (pages_of(&words) + 1)); /* the version, at every foot and with the command */
    CHECK(pages_of(&words) == pages_of(&point));
    text_free(&words);
    text_free(&point);
    assessment_free(&demo);
}
