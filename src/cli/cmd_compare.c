#include "cli/commands.h"

#include "base/output.h"
#include "claims/of_book.h"
#include "cli/compare_words.h"
#include "cli/desk.h"
#include "report/compare.h"

const char compare_about[] =
    "Holds several samples of a book side by side: what each delivered, for which price, mass and volume, its resistance\n"
    "and its verdicts, each with its uncertainty, and says where their tests were not made alike.\n\n"
    "  rundown compare workshop.book --sample \"Hut pack 14\" --sample \"Bivouac pack\"\n"
    "  rundown compare workshop.book --sample hut-pack-14 --sample bivouac-pack --figure curves.svg --figure price.png\n\n"
    "From 2 to 12 samples.";

enum { OPT_SAMPLE, OPT_FIGURE, OPT_JSON };

const struct option_spec compare_options[] = {
    [OPT_SAMPLE] = {"sample", "NAME", "one of them (repeatable)"},
    [OPT_FIGURE] = {"figure", "FILE", "write a figure, .svg or .png (repeatable): a name with `price`, `mass` or `volume` in it gives\n"
                                      "the delivered energy against that, with `resistance` or `verdicts` these, any other\n"
                                      "the discharge curves"},
    [OPT_JSON] = {"json", NULL, "print as JSON (docs/json.md)"},
    {NULL, NULL, NULL},
};

enum { MOST_FIGURES = 16 };

struct arguments {
    const char *book, *names[COMPARED_MOST], *figures[MOST_FIGURES];
    size_t name_count, figure_count;
    bool json;
};

static enum status take(struct arguments *a, int option, const char *value, struct message *message)
{
    switch (option) {
    case OPTION_WORD:
        if (a->book != NULL)
            return status_fail(message, STATUS_USAGE, "compare takes one book, and '%s' is a second", value);
        a->book = value;
        return STATUS_OK;
    case OPT_SAMPLE:
        if (a->name_count == COMPARED_MOST)
            return status_fail(message, STATUS_USAGE, "more than %d samples", COMPARED_MOST);
        a->names[a->name_count++] = value;
        return STATUS_OK;
    case OPT_FIGURE:
        if (a->figure_count == MOST_FIGURES)
            return status_fail(message, STATUS_USAGE, "more than %d figures", MOST_FIGURES);
        a->figures[a->figure_count++] = value;
        return STATUS_OK;
    default: a->json = true; return STATUS_OK;
    }
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = compare_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;)
        status = k == OPTION_FAULT ? message->status : take(a, k, value, message);
    if (status != STATUS_OK)
        return status;
    if (a->book != NULL && a->name_count >= COMPARED_LEAST)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, a->book == NULL ? "no book given" : "fewer than two samples to compare");
    return status_remedy(message, "as in `rundown compare workshop.book --sample \"Hut pack 14\" --sample \"Bivouac pack\"`");
}

static enum status add_all(struct book *book, const struct arguments *a, struct assessment *assessments, struct compare *compare,
                           struct message *message)
{
    enum status status = STATUS_OK;
    for (size_t k = 0; k < a->name_count && status == STATUS_OK; k++) {
        struct book_sample sample;
        status = book_sample_find(book, a->names[k], &sample, message);
        for (size_t j = 0; j < compare->count && status == STATUS_OK; j++)
            if (compare->items[j].sample == sample.id)
                status = status_fail(message, STATUS_USAGE, "%s is named twice", sample.name);
        if (status == STATUS_OK)
            status = assess_sample(book, sample.id, 0, &assessments[k], message);
        if (status == STATUS_OK)
            compare_add(compare, sample.id, sample.name, &assessments[k]);
    }
    return status;
}

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL ? slash + 1 : path;
}

static enum compare_figure figure_of(const char *path)
{
    for (int k = 0; k < COMPARE_FIGURES; k++)
        if (strstr(file_name(path), compare_words[k]) != NULL)
            return (enum compare_figure)k;
    return COMPARE_CURVES;
}

static enum status write_figure(const struct compare *compare, const char *path, struct message *message)
{
    size_t n = strlen(path);
    bool vector = n > 4 && strcmp(path + n - 4, ".svg") == 0;
    struct text picture = TEXT_EMPTY;
    if (!vector && (n < 5 || strcmp(path + n - 4, ".png") != 0)) {
        status_fail(message, STATUS_USAGE, "a figure is written as .svg or .png, not '%s'", file_name(path));
        return status_remedy(message, "give a name such as curves.svg or price.png");
    }
    enum status status = compare_picture(compare, figure_of(path), vector ? PICTURE_SVG : PICTURE_PNG, PICTURED_WIDTH, &picture,
                                         message);
    if (status == STATUS_OK)
        status = output_save(path, &picture, message);
    text_free(&picture);
    return status;
}

static enum status tell(const struct compare *compare, const struct arguments *a, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = STATUS_OK;
    for (size_t k = 0; k < a->figure_count && status == STATUS_OK; k++)
        status = write_figure(compare, a->figures[k], message);
    if (a->json)
        compare_json(compare, &text);
    else
        compare_text(compare, &text);
    if (status == STATUS_OK)
        status = desk_print(&text, message);
    text_free(&text);
    return status;
}

int compare_run(int argc, char **argv)
{
    struct arguments a = {0};
    struct message message;
    struct book *book = NULL;
    struct assessment assessments[COMPARED_MOST] = {0};
    struct compare compare = {.count = 0};
    enum status status = parse(argc, argv, &a, &message);
    if (status == STATUS_OK)
        status = desk_open(a.book, BOOK_READ, &book, &message);
    if (status == STATUS_OK)
        status = add_all(book, &a, assessments, &compare, &message);
    if (status == STATUS_OK)
        status = tell(&compare, &a, &message);
    compare_free(&compare);
    for (size_t k = 0; k < COMPARED_MOST; k++)
        assessment_free(&assessments[k]);
    book_close(book);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
