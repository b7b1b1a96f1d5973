#include "cli/shelf_words.h"

#include "base/json_value.h"
#include "cli/table_text.h"
#include "report/shelf.h"

static const char *words_at(const json_t *object, const char *key)
{
    const char *words = json_string_value(json_object_get(object, key));
    return words != NULL ? words : "";
}

static void claimed_cell(const json_t *digest, struct listing *listing)
{
    static const char *const keys[] = {"nominal_v", "charge_ah", "energy_wh"}, *const units[] = {"V", "Ah", "Wh"};
    const json_t *claimed = json_object_get(digest, "claimed");
    struct text text = TEXT_EMPTY;
    for (int k = 0; k < 3; k++) {
        const json_t *number = json_object_get(claimed, keys[k]);
        if (number != NULL)
            text_addf(&text, "%s%.6g %s", text.length > 0 ? " · " : "", json_number_value(number), units[k]);
    }
    listing_add(listing, "%s%s", text.length > 0 ? "claimed " : "", text_string(&text));
    text_free(&text);
}

static void found_cell(const json_t *digest, struct listing *listing)
{
    static const char *const keys[] = {"charge_ah", "energy_wh"};
    const json_t *found = json_object_get(digest, "found");
    struct text text = TEXT_EMPTY;
    for (int k = 0; k < 2; k++) {
        const char *words = words_at(json_object_get(found, keys[k]), "words");
        if (words[0] != '\0')
            text_addf(&text, "%s%s", text.length > 0 ? " · " : "found ", words);
    }
    listing_add(listing, "%s", text_string(&text));
    text_free(&text);
}

static void verdicts_cell(const json_t *digest, struct listing *listing)
{
    struct text text = TEXT_EMPTY;
    const char *verdict;
    json_t *count;
    json_object_foreach(json_object_get(digest, "verdicts"), verdict, count) {
        text_addf(&text, "%s%lld %s", text.length > 0 ? ", " : "", (long long)json_integer_value(count), verdict);
    }
    listing_add(listing, "%s", text_string(&text));
    text_free(&text);
}

static void state_cell(const json_t *row, const json_t *digest, struct listing *listing)
{
    const char *thin = words_at(digest, "thin"), *fault = words_at(digest, "fault");
    bool invented = json_is_true(json_object_get(row, "invented")), fresh = json_is_true(json_object_get(row, "fresh"));
    const char *stale = fresh ? "" : json_is_object(digest) ? "changed since" : "not assessed";
    const char *const all[] = {invented ? "invented" : "", fault, thin, stale};
    struct text text = TEXT_EMPTY;
    for (int k = 0; k < 4; k++)
        text_addf(&text, "%s%s", text.length > 0 && all[k][0] != '\0' ? "; " : "", all[k]);
    listing_add(listing, "%s", text_string(&text));
    text_free(&text);
}

static void list_words(const json_t *rows, struct text *text)
{
    struct listing listing = listing_of(6);
    size_t k;
    json_t *row;
    json_array_foreach(rows, k, row) {
        const json_t *digest = json_object_get(row, "digest");
        long long runs = json_integer_value(json_object_get(row, "run_count"));
        listing_add(&listing, "%s", words_at(row, "name"));
        listing_add(&listing, "%lld run%s", runs, runs == 1 ? "" : "s");
        claimed_cell(digest, &listing);
        found_cell(digest, &listing);
        verdicts_cell(digest, &listing);
        state_cell(row, digest, &listing);
    }
    table_text(&listing, 0, text);
    listing_free(&listing);
}

enum status shelf_list_text(struct book *book, bool json, struct text *text, struct shelf_counts *ret_counts,
                            struct message *message)
{
    struct text all = TEXT_EMPTY;
    json_t *list = NULL;
    struct shelf_counts counts = {0};
    enum status status = shelf_list(book, 0, &all, &counts.stale, message);
    if (status == STATUS_OK)
        status = json_parse(book_path(book), 1, (struct span){text_string(&all), all.length}, &list, message);
    const json_t *rows = json_object_get(list, "samples");
    counts.samples = json_array_size(rows);
    if (status == STATUS_OK && json)
        text_add_bytes(text, text_string(&all), all.length);
    else if (status == STATUS_OK)
        list_words(rows, text);
    json_decref(list);
    text_free(&all);
    if (status == STATUS_OK)
        *ret_counts = counts;
    return status;
}
