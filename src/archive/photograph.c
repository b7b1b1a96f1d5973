#include "archive/photograph.h"

#include "book/book_run.h"
#include "image/image.h"

enum { QUALITY = 85, HEAD_BYTES = 1 << 18, CAPTION_BYTES = 1000 };

/* Both kinds of slash: a phone's folder or another system's. */
static const char *last_name(const char *path)
{
    const char *name = path;
    for (const char *p = path; *p != '\0'; p++)
        if (*p == '/' || *p == '\\')
            name = p + 1;
    return name[0] != '\0' && strcmp(name, ".") != 0 && strcmp(name, "..") != 0 ? name : "picture";
}

enum status photograph_judge(const char *name, struct span bytes, struct message *message)
{
    struct image *image = NULL;
    if (bytes.n > PHOTOGRAPH_BYTES) {
        status_fail(message, STATUS_LIMIT, "a picture of %zu bytes is larger than %d MB", bytes.n, PHOTOGRAPH_BYTES >> 20);
        status_at(message, name, 0, 0);
        return status_remedy(message, "scale it down first");
    }
    enum status status = image_read(name, bytes, &image, message);
    if (status == STATUS_OK)
        image_free(image);
    return status;
}

static enum status run_is_of(struct book *book, int64_t run, int64_t sample, struct message *message)
{
    struct book_run one;
    if (run == 0)
        return STATUS_OK;
    enum status status = book_run_get(book, run, &one, message);
    if (status != STATUS_OK || one.sample == sample)
        return status;
    status_fail(message, STATUS_USAGE, "run %lld is not of this sample", (long long)run);
    return status_remedy(message, "name a run of the sample, or none");
}

static bool is_plain(const char *words, size_t most)
{
    size_t n = strlen(words);
    for (size_t k = 0; k < n; k++)
        if ((unsigned char)words[k] < ' ' || words[k] == 127)
            return false;
    return n <= most && span_bad_utf8(span_of(words)) == n;
}

enum status photograph_say(struct picture *picture, const char *caption, const char *item, struct message *message)
{
    if (caption != NULL && !is_plain(caption, CAPTION_BYTES)) {
        status_fail(message, STATUS_USAGE, "this is no caption");
        return status_remedy(message, "write one line of at most %d bytes", CAPTION_BYTES);
    }
    if (item != NULL && !is_plain(item, sizeof picture->item - 1)) {
        status_fail(message, STATUS_USAGE, "'%.40s' is no item of an opened sample", item);
        return status_remedy(message, "name it as in `conductor-main-lead`");
    }
    if (caption != NULL) {
        picture->caption.length = 0;
        text_add(&picture->caption, caption);
    }
    if (item != NULL)
        snprintf(picture->item, sizeof picture->item, "%s", item);
    return STATUS_OK;
}

enum status photograph_add(struct book *book, const struct photograph *photograph, int64_t *ret_id,
                           struct message *message)
{
    struct picture picture = {.sample = photograph->sample, .run = photograph->run, .shown = photograph->shown,
                              .utc_ns = photograph->utc_ns};
    const char *kind = picture_media_type(picture_size(photograph->bytes).kind), *name = last_name(photograph->name);
    enum status status = kind == NULL ? photograph_judge(name, photograph->bytes, message) : STATUS_OK;
    if (status == STATUS_OK)
        status = run_is_of(book, photograph->run, photograph->sample, message);
    if (status == STATUS_OK)
        status = photograph_say(&picture, photograph->caption, photograph->item, message);
    if (status == STATUS_OK) {
        snprintf(picture.kind, sizeof picture.kind, "%s", kind);
        span_copy(span_of(name), picture.name, sizeof picture.name);
        text_add_bytes(&picture.bytes, photograph->bytes.p, photograph->bytes.n);
        status = picture_add(book, &picture, ret_id, message);
    }
    picture_free(&picture);
    return status;
}

enum status photograph_shown(const struct picture *picture, int side, struct text *bytes, struct message *message)
{
    struct image *image = NULL, *scaled = NULL;
    enum status status = image_read(picture->name, (struct span){text_string(&picture->bytes), picture->bytes.length},
                                    &image, message);
    if (status == STATUS_OK)
        status = image_scaled(image, side, &scaled, message);
    image_free(image);
    if (status == STATUS_OK)
        status = image_write_jpeg(scaled, QUALITY, bytes, message);
    image_free(scaled);
    return status;
}

enum status photograph_size(struct book *book, int64_t picture, struct picture_size *ret_size, struct message *message)
{
    struct text head = TEXT_EMPTY;
    enum status status = picture_head(book, picture, HEAD_BYTES, &head, message);
    if (status == STATUS_OK)
        *ret_size = image_upright_size((struct span){text_string(&head), head.length});
    text_free(&head);
    return status;
}
