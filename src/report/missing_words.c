#include "report/missing_words.h"

#include "report/account.h"
#include "report/lines.h"
#include "report/signs.h"

static void print_part(const char *words, int width, struct text *text)
{
    if (words[0] == '\0')
        return;
    text_add(text, "    ");
    lines_wrap(words, 4, width, text);
}

void missing_print(const struct assessment *assessment, int width, struct text *text)
{
    struct missing_list list = missing_find(assessment);
    text_addf(text, "%s%s: what is missing for a defensible verdict\n", assessment->invented ? "INVENTED DATA\n" : "",
              account_title(assessment));
    for (size_t k = 0; k < list.count; k++) {
        const struct missing *item = &list.items[k];
        if (k == 0 || item->weight != list.items[k - 1].weight)
            text_addf(text, "\n%s\n", missing_weight_words(item->weight));
        text_add(text, "  ");
        lines_wrap(item->what, 2, width, text);
        print_part(item->next, width, text);
        print_part(item->helps, width, text);
    }
    missing_free(&list);
}

static void put_signed(json_t *object, const char *key, const struct signs *signs, char *words)
{
    signs_set(signs, words);
    json_put_words(object, key, words);
}

json_t *json_missing(const struct assessment *assessment, bool comma)
{
    json_t *all = json_object(), *items = json_array();
    struct missing_list list = missing_find(assessment);
    struct signs signs = signs_of(assessment, comma);
    for (size_t k = 0; k < list.count; k++) {
        struct missing *item = &list.items[k];
        json_t *o = json_object();
        json_put_words(o, "weight", missing_weight_words(item->weight));
        json_put(o, "claim", item->claim < assessment->decision_count
                                 ? json_words(assessment->decisions[item->claim].claim->slug) : json_null());
        put_signed(o, "what", &signs, item->what);
        put_signed(o, "next", &signs, item->next);
        put_signed(o, "helps", &signs, item->helps);
        json_put(o, "share", json_number(item->share));
        json_array_append_new(items, o);
    }
    json_put_words(all, "sample", account_title(assessment));
    json_put(all, "missing", items);
    signs_free(&signs);
    missing_free(&list);
    return all;
}
