// The report of one job or of several, as one document: paper and browser show the same.
//   JobsReport report(sheet::Paper::a4);  report.add(facts);  report.add(others);  document_html(report.document(), …)
#pragma once

#include "report/job_facts.hpp"
#include "sheet/document.hpp"

namespace halfturn::report {

class JobsReport {
public:
    // `set`: the name of the set whose jobs these are; empty for jobs picked one by one.
    explicit JobsReport(sheet::Paper paper, std::string set = {}) : paper_(paper), set_(std::move(set)) {}

    void add(const JobFacts& facts);           // keeps what is needed; the facts may go
    void leave_out(const record::JobRow& job, const std::string& why);

    // One job: its report. Several: a page with all of them in one table, then one part each.
    sheet::Document document() const;

private:
    struct Part {
        std::string title, subtitle;
        std::vector<sheet::Block> blocks;
        std::vector<std::string> row;  // of the table of all
    };
    sheet::Paper paper_;
    std::string set_;
    std::vector<Part> parts_;
    std::vector<std::string> left_out_;
};

}  // namespace halfturn::report
