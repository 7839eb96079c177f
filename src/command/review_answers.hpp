// What the review pages ask, answered from the store: read only, on the server's own thread for answers.
//   GET /data/review/jobs?call=look-closer&search=…&before=N&most=50     as `halfturn review --json`
//   GET /data/review/job/17                                              as `halfturn review 17 --json`, with what is drawn
//   GET /data/review/readings/17?from_s=2&to_s=3&columns=800             readings_json(): its readings over time, as a screen draws them
//   GET /data/review/compare?jobs=3,5&align=contact                      as `halfturn compare 3 5 --json`
//   GET /data/review/like/17?most=10                                     as `halfturn compare 17 --json`
//   GET /data/review/values/item?begins=wh                               what a field of the query could be
//   GET /data/review/fields                                              calls, warnings and findings there are
//   GET /data/review/calibrations                                        the certificates kept
//   GET /data/review/trends?charted=break-loose&by=rig&work=out          as `halfturn trends --json`
//   GET /data/review/trends/fields                                       the figures there are, and by what they are charted
//   GET /data/review/photo/SHA256                                        a photo's bytes
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "screen/server.hpp"

namespace halfturn::command {

class ReviewAnswers {
public:
    // `bench_at_work` says whether a job runs: what can wait, reading curves for findings, then waits.
    ReviewAnswers(std::string store_path, std::function<bool()> bench_at_work);
    ~ReviewAnswers();
    ReviewAnswers(const ReviewAnswers&) = delete;
    ReviewAnswers& operator=(const ReviewAnswers&) = delete;

    screen::Answer answer(const screen::Question& question);

private:
    struct CurveReader;
    screen::Answer jobs(const screen::Question& question);
    std::string path_;
    std::unique_ptr<CurveReader> reader_;
};

}  // namespace halfturn::command
