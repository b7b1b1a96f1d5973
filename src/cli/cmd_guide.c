#include "cli/commands.h"

#include "base/output.h"
#include "cli/desk.h"
#include "cli/planning.h"
#include "report/guide_sheet.h"
#include "report/guide_words.h"
#include "report/json_parts.h"

const char guide_about[] =
    "How one of the pack's protections, or a charge, is tested by hand: what it can show and what it cannot, preparation,\n"
    "cautions, steps with the marks to put, when to stop; with the numbers of this sample, as far as its label tells them.\n"
    "Without a test it lists them all, and says why none is offered for a short circuit.\n\n"
    "  rundown guide\n"
    "  rundown guide cold-charge --label s14.label --rig bench.rig\n"
    "  rundown guide over-current --label s14.label --loads bench.loads --sheet hold.pdf\n"
    "  rundown guide low-voltage workshop.book --sample 'Hut pack 3' --json\n\n"
    "Local codes, the manual of the sample and licensed practice stand above any sheet.";

enum { OPT_SAMPLE, OPT_LABEL, OPT_RIG, OPT_LOADS, OPT_SHEET, OPT_PAPER, OPT_JSON, WIDTH = 100 };

const struct option_spec guide_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "of the book: its label, and the rig and loads of its plan or last put in"},
    [OPT_LABEL] = {"label", "FILE", "what is claimed (docs/label.md); without it the sheet is a general one"},
    [OPT_RIG] = {"rig", "FILE", "the meters, and whether a temperature is read (docs/rig.md)"},
    [OPT_LOADS] = {"loads", "FILE", "inverter and loads at hand (docs/loads.md)"},
    [OPT_SHEET] = {"sheet", "FILE", "write it as a page to print, with boxes to tick (PDF)"},
    [OPT_PAPER] = {"paper", "SIZE", "of --sheet: a4 (default) or letter"},
    [OPT_JSON] = {"json", NULL, "print as JSON (docs/json.md, under `guide`)"},
    {NULL, NULL, NULL},
};

struct arguments {
    enum guide_test test; /* GUIDE_TESTS: all are listed */
    struct planning_papers papers;
    const char *sheet;
    enum paper_size paper;
    bool json;
};

static enum status take_word(const char *word, struct arguments *a, struct message *message)
{
    if (a->test == GUIDE_TESTS && guide_named(word) != GUIDE_TESTS) {
        a->test = guide_named(word);
        return STATUS_OK;
    }
    if (a->papers.book == NULL) {
        a->papers.book = word;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "no test is called '%s'", word);
    return status_remedy(message, "`rundown guide` lists them");
}

static enum status take_paper(const char *value, struct arguments *a, struct message *message)
{
    bool letter = strcmp(value, "letter") == 0;
    if (!letter && strcmp(value, "a4") != 0) {
        status_fail(message, STATUS_USAGE, "--paper cannot use '%s'", value);
        return status_remedy(message, "use a4 or letter");
    }
    a->paper = letter ? PAPER_LETTER : PAPER_A4;
    return STATUS_OK;
}

static enum status judge(const struct arguments *a, struct message *message)
{
    if (a->sheet != NULL && a->test == GUIDE_TESTS) {
        status_fail(message, STATUS_USAGE, "--sheet is for one test");
        return status_remedy(message, "name it: `rundown guide cold-charge --sheet cold.pdf`");
    }
    if (a->papers.book != NULL && a->papers.sample == NULL) {
        status_fail(message, STATUS_USAGE, "no test is called '%s', and for a book its sample has to be named", a->papers.book);
        return status_remedy(message, "`rundown guide` lists the tests; or write `rundown guide TEST BOOK --sample NAME`");
    }
    if (a->papers.book == NULL && a->papers.sample != NULL) {
        status_fail(message, STATUS_USAGE, "in which book is '%s'?", a->papers.sample);
        return status_remedy(message, "write `rundown guide TEST BOOK --sample NAME`");
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = guide_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        switch (k) {
        case OPTION_FAULT: return message->status;
        case OPTION_WORD: status = take_word(value, a, message); break;
        case OPT_SAMPLE: a->papers.sample = value; break;
        case OPT_LABEL: a->papers.label = value; break;
        case OPT_RIG: a->papers.rig = value; break;
        case OPT_LOADS: a->papers.loads = value; break;
        case OPT_SHEET: a->sheet = value; break;
        case OPT_PAPER: status = take_paper(value, a, message); break;
        default: a->json = true;
        }
    }
    return status == STATUS_OK ? judge(a, message) : status;
}

static enum status write_list(const struct arguments *a, const struct label *label, struct message *message)
{
    struct text text = TEXT_EMPTY;
    if (a->json)
        json_finish(guides_json(label), &text);
    else
        guides_words(label, WIDTH, &text);
    enum status status = desk_print(&text, message);
    text_free(&text);
    return status;
}

static enum status write_guide(const struct arguments *a, const struct guide *guide, struct message *message)
{
    struct text text = TEXT_EMPTY, sheet = TEXT_EMPTY;
    enum status status = STATUS_OK;
    if (a->sheet != NULL)
        status = guide_sheet_render(guide, a->paper, &sheet, message);
    if (status == STATUS_OK && a->sheet != NULL)
        status = output_save(a->sheet, &sheet, message);
    if (a->json)
        json_finish(guide_json(guide), &text);
    else if (a->sheet == NULL)
        guide_words(guide, WIDTH, &text);
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    text_free(&sheet);
    return status;
}

int guide_run(int argc, char **argv)
{
    struct arguments a = {.test = GUIDE_TESTS};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    struct planned planned = planned_empty();
    const struct plan_wish wish = {.rig = PLANNED_AS_BEFORE, .loads = PLANNED_AS_BEFORE, .unlabelled = true};
    enum status status = planning_take(&a.papers, &wish, &planned, &message);
    if (status == STATUS_OK)
        planning_warn(&planned);
    if (status == STATUS_OK && a.test == GUIDE_TESTS) {
        status = write_list(&a, &planned.label, &message);
    } else if (status == STATUS_OK) {
        struct guide guide;
        status = guide_make(a.test, &planned.label, &planned.rig, planned.has_loads ? &planned.loads : NULL, &guide, &message);
        if (status == STATUS_OK)
            status = write_guide(&a, &guide, &message);
    }
    planned_free(&planned);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
