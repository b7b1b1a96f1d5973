#include "web/visit.h"

#include "book/checksum.h"

bool visit_begin(struct visit *visit, void *context, const struct http_request *request, struct http_reply *reply,
                 enum book_access access)
{
    *visit = (struct visit){.workshop = context, .request = request, .reply = reply};
    visit->book = workshop_take(visit->workshop, access, &visit->message);
    if (visit->book == NULL)
        http_fail(reply, 0, &visit->message);
    return visit->book != NULL;
}

bool visit_sample(struct visit *visit, void *context, const struct http_request *request, struct http_reply *reply,
                  enum book_access access)
{
    int64_t id = 0;
    if (!visit_begin(visit, context, request, reply, access))
        return false;
    enum status status = http_id(request->parts[0], &id, &visit->message);
    if (status == STATUS_OK)
        status = book_sample_by_id(visit->book, id, &visit->sample, &visit->message);
    if (status == STATUS_OK)
        return true;
    if (status == STATUS_USAGE)
        http_refuse(reply, 404, "there is no sample %.20s in this book", request->parts[0]);
    visit_end(visit, status == STATUS_USAGE ? STATUS_OK : status);
    return false;
}

void visit_end(struct visit *visit, enum status status)
{
    if (status != STATUS_OK)
        http_fail(visit->reply, 0, &visit->message);
    workshop_put(visit->workshop, visit->book);
}

void visit_tag(struct http_reply *reply)
{
    snprintf(reply->tag, sizeof reply->tag, "%016llx",
             (unsigned long long)checksum((const unsigned char *)text_string(&reply->body), reply->body.length, 0));
}
